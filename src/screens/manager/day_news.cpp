// SPDX-License-Identifier: Apache-2.0
// What stands first in the day's review: what needs a decision, worst first, and what changed.
#include <algorithm>
#include <cmath>

#include "screens/manager/review_parts.h"
#include "screens/parts/parts.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

using advice::DecisionKind;

// Empty ones in place of what is not there, so that no caller has to ask.
const advice::PrunerDay& person_in(const advice::DayReview& review, const std::string& person,
                                   const std::string& block) {
  static const advice::PrunerDay none;
  for (const advice::PrunerDay& day : review.pruners) {
    if (day.person == person && day.block == block) return day;
  }
  return none;
}

const advice::BlockDay& block_in(const advice::DayReview& review, const std::string& id) {
  static const advice::BlockDay none;
  for (const advice::BlockDay& day : review.blocks) {
    if (day.block == id) return day;
  }
  return none;
}

std::string late_text(const advice::Pace& pace) {
  std::string text = tr("review.late", {{"date", date_text(pace.finish_day)},
                                        {"tip", date_text(pace.green_tip_day)}});
  if (pace.people_needed > pace.people) {
    text += " " + tr_count("review.people_needed",
                           static_cast<long>(std::ceil(pace.people_needed)));
  }
  return text;
}

std::string decision_text(const ledger::Season& season, const advice::DayReview& review,
                          const advice::Decision& open) {
  const advice::BlockDay& block = block_in(review, open.block);
  const advice::PrunerDay& person = person_in(review, open.person, open.block);
  switch (open.kind) {
    case DecisionKind::tell_person: return reason_text(person.verdict.reason);
    case DecisionKind::person_changed:
      return tr("review.changed_since", {{"when", time_text(season, person.drift_began_ms)}});
    case DecisionKind::stop_pruning:
      return tr("frost.stop", {{"n", whole(block.frost.unpruned_spurs.value)},
                               {"target", whole(block.frost.target_now)}});
    case DecisionKind::block_off:
      return reason_text(block.acceptance.reason) + " " + spread_text(block.acceptance);
    case DecisionKind::block_late: break;
  }
  return late_text(block.pace);
}

std::string change_text(const advice::DayReview& review, const advice::Change& change) {
  if (!change.person.empty()) {
    const auto& before = person_in(review, change.person, change.block).before;
    if (!before) return "";
    return tr("review.was",
              {{"before", tr(std::string("verdict.") + advice::name_of(*before))}});
  }
  const advice::BlockDay& day = block_in(review, change.block);
  if (!day.before) return "";
  return reason_text(day.acceptance.reason) + " " +
         tr("review.was", {{"before", block_state(*day.before)}});
}

// Of a person in a block, or of the block itself.
NewsLine line_about(const ledger::Season& season, const advice::DayReview& review,
                    const std::string& person, const std::string& block, std::string detail) {
  if (person.empty()) return {block_text(season, block), "", std::move(detail)};
  return {person_text(season, person), verdict_line(person_in(review, person, block).verdict),
          block_text(season, block) + ". " + detail};
}

void news_row(Frame& frame, const std::string& id, const NewsLine& line, const std::string& person,
              const std::string& block) {
  if (!choice_row(frame.ui, {.id = id, .label = line.label, .detail = line.detail,
                             .trailing = line.trailing,
                             .glyph = person.empty() ? Glyph::tree : Glyph::dot})) {
    return;
  }
  frame.go(person.empty() ? ScreenId::block_map : ScreenId::standing, block, person);
}

// The evening it is compared with; 0 on the first day.
std::int64_t day_before(Frame& frame, std::int64_t day) {
  for (const std::int64_t other : frame.cache.days(frame.season, frame.now_ms())) {
    if (other < day) return other;
  }
  return 0;
}

}  // namespace

NewsLine line_of(const ledger::Season& season, const advice::DayReview& review,
                 const advice::Decision& decision) {
  return line_about(season, review, decision.person, decision.block,
                    decision_text(season, review, decision));
}

NewsLine line_of(const ledger::Season& season, const advice::DayReview& review,
                 const advice::Change& change) {
  return line_about(season, review, change.person, change.block, change_text(review, change));
}

void to_decide(Frame& frame, const advice::DayReview& review) {
  heading(frame.ui, tr("review.decide"));
  const auto open = advice::decisions_of(review);
  if (open.empty()) pill(frame.ui, tr("review.decide_none"), Tone::good);
  for (const advice::Decision& one : open) {
    const char* kind = one.kind == DecisionKind::block_off      ? "off/"
                       : one.kind == DecisionKind::block_late   ? "late/"
                       : one.kind == DecisionKind::stop_pruning ? "frost/"
                                                                : "decide/";
    news_row(frame, kind + one.person + "/" + one.block, line_of(frame.season, review, one),
             one.person, one.block);
  }
}

void changed_since(Frame& frame, const advice::DayReview& review) {
  const std::int64_t before = day_before(frame, review.day);
  if (before == 0) return;
  heading(frame.ui, tr("review.changed", {{"day", date_text(before)}}));
  const auto changes = advice::changes_of(review);
  if (changes.empty()) paragraph(frame.ui, tr("review.changed_none"));
  for (const advice::Change& one : changes) {
    news_row(frame, "changed/" + one.person + "/" + one.block,
             line_of(frame.season, review, one), one.person, one.block);
  }
}

}  // namespace nthtree::screens
