// SPDX-License-Identifier: Apache-2.0
// A season ends and the next begins from it, in one step: the old one is kept, closed and out of
// the way; learnt factors go along where they are wanted.
#include <cstdlib>

#include "base/text.h"
#include "screens/each_screen.h"
#include "screens/parts/form.h"
#include "screens/parts/frame.h"
#include "screens/parts/parts.h"
#include "screens/parts/wording.h"
#include "screens/season/season_words.h"

namespace nthtree::screens {
namespace {

constexpr std::int64_t still_at_work_days = 21;
constexpr int winter_ends_month = 3;

// In winter it is last year's harvest that is behind.
int year_now(const Frame& frame) {
  const std::string now = base::iso_minute(frame.now_ms());
  return std::atoi(now.c_str()) - (std::atoi(now.c_str() + 5) <= winter_ends_month);
}

// Null where that year was not closed yet.
const ledger::SeasonSpan* closing_of(const Frame& frame, int year) {
  for (const ledger::SeasonSpan& span : frame.season.spans()) {
    if (span.year == year) return &span;
  }
  return nullptr;
}

bool is_still_at_work(Frame& frame) {
  const auto& days = frame.cache.days(frame.season, frame.now_ms());
  return !days.empty() && days.front() > frame.today() - still_at_work_days;
}

// The block as the next season begins with it.
orchard::Block begun_anew(Frame& frame, const orchard::Block& block, bool with_learnt) {
  orchard::Block next = block;
  next.green_tip_date.clear();
  next.second_pass_until.clear();
  const advice::NextTarget& target = frame.cache.next_target(frame.season, block.id);
  const bool fits = orchard::limits::insurance_factor.holds(target.insurance_next);
  if (with_learnt && target.known && fits) next.target.insurance_factor = target.insurance_next;
  return next;
}

void close(Frame& frame, int year, bool with_learnt) {
  SaveRecords save;
  save.bodies.push_back(ledger::SeasonClosed{year});
  for (const auto& [id, block] : frame.season.blocks()) {
    if (!block.block) continue;
    const orchard::Block next = begun_anew(frame, *block.block, with_learnt);
    if (!(next == *block.block)) save.bodies.push_back(ledger::BlockSettings{next});
  }
  frame.want(save);
}

void proposals(Frame& frame) {
  bool any = false;
  for (const auto& [id, block] : frame.season.blocks()) {
    const advice::NextTarget& next = frame.cache.next_target(frame.season, id);
    if (!block.block || !next.known) continue;
    any = true;
    heading(frame.ui, block_text(frame.season, id));
    strong_line(frame.ui, next_target_text(next));
    paragraph(frame.ui, reasons_text(next.reasons));
  }
  if (!any) paragraph(frame.ui, tr("close.nothing_learnt"));
}

void closed_before(Frame& frame) {
  for (const ledger::SeasonSpan& span : frame.season.spans()) {
    if (span.year == 0) continue;
    fact(frame.ui, tr("years.closed_year", {{"year", std::to_string(span.year)}}),
         tr("close.when", {{"date", date_year_text(frame.season.day_of(span.to_ms))},
                           {"name", person_text(frame.season, span.closed_by)}}));
  }
}

}  // namespace

void draw_close_season(Frame& frame) {
  open(frame, {.key = "close", .title = tr("close.title"),
               .actions = {{.id = "close", .label = tr("close.do")}}});
  save_state(frame);
  paragraph(frame.ui, tr("close.text"));
  Form form(frame);
  const auto typed = form.number({.id = "close/year", .label = tr("close.year"),
                                  .value = year_now(frame),
                                  .range = orchard::limits::crop_year});
  const int year = static_cast<int>(typed.value_or(0));
  const ledger::SeasonSpan* before = closing_of(frame, year);
  if (typed && before) {
    notice(frame.ui, {.id = "twice", .tone = Tone::trouble,
                      .text = tr("close.twice",
                                 {{"year", std::to_string(year)},
                                  {"date", date_year_text(frame.season.day_of(before->to_ms))}})});
  } else if (is_still_at_work(frame)) {
    notice(frame.ui, {.id = "at_work", .tone = Tone::caution, .text = tr("close.at_work")});
  }
  const bool with_learnt = form.flag("close/learnt", tr("close.learnt"), true);
  proposals(frame);
  closed_before(frame);
  small_print(frame.ui, tr("close.back"));
  if (frame.bar.action == "close") {
    if (!typed) form.show_wrong();
    else if (!before) frame.want(Ask{"close_season"});
  }
  finish(frame);
  if (asked(frame, "close_season", tr("close.ask", {{"year", std::to_string(year)}}),
            tr("close.sure"), tr("close.yes"), tr("phone.no")) &&
      typed && !before) {
    close(frame, year, with_learnt);
  }
}

}  // namespace nthtree::screens
