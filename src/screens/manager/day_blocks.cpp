// SPDX-License-Identifier: Apache-2.0
// The blocks of a day: what is left on a tree, how far, by when, at what cost.
#include <algorithm>
#include <cmath>

#include "screens/manager/review_parts.h"
#include "screens/parts/parts.h"
#include "screens/parts/sorted_table.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

constexpr double as_good_as_sure = 0.95;
constexpr double worth_a_word = 0.2;  // of the trees out of the band, where the mean is right

void pace_facts(Frame& frame, const advice::Pace& pace) {
  paragraph(frame.ui, tr("review.pace", {{"done", whole(static_cast<double>(pace.trees_done))},
                                         {"all", whole(static_cast<double>(pace.trees))}}));
  if (pace.hours_done > 0) {
    fact(frame.ui, tr("review.rate"), number(pace.trees_per_hour.value, 1));
  }
  if (pace.labour_cost > 0) {
    fact(frame.ui, tr("review.labour"), money_text(frame.season, pace.labour_cost));
    if (pace.labour_left.value > 0) {
      fact(frame.ui, tr("review.labour_left"), money_text(frame.season, pace.labour_left.value));
    }
  }
  if (pace.finish_day > 0) {
    paragraph(frame.ui, tr("review.finish", {{"date", date_text(pace.finish_day)},
                                             {"early", date_text(pace.finish_day_early)},
                                             {"late", date_text(pace.finish_day_late)}}));
    paragraph(frame.ui, tr_count("review.hours_left", std::lround(pace.hours_left.value)));
  } else if (pace.trees_left > 0) {
    small_print(frame.ui, tr("review.no_pace"));
  }
  if (!pace.has_green_tip) return;
  paragraph(frame.ui, tr("review.green_tip", {{"date", date_text(pace.green_tip_day)}}));
  if (pace.finish_day == 0) return;
  const bool late = pace.probability_in_time < 0.5;
  pill(frame.ui, in_time_text(pace.probability_in_time), late ? Tone::caution : Tone::good);
  if (late && pace.people_needed > pace.people) {
    paragraph(frame.ui, tr_count("review.people_needed",
                                 static_cast<long>(std::ceil(pace.people_needed))));
  }
}

void cost_facts(Frame& frame, const advice::Cost& cost) {
  if (!cost.known) return;
  if (!cost.has_rates) {
    small_print(frame.ui, tr("review.no_rates"));
    return;
  }
  const auto told = [&](const char* key, double amount) {
    if (amount >= 1) paragraph(frame.ui, tr(key, {{"n", money_text(frame.season, amount)}}));
    return amount >= 1;
  };
  const bool over = told("review.cost_over", cost.thinning_cost.value);
  const bool lost = told("review.cost_short", cost.crop_lost_value.value);
  if (!over && !lost) small_print(frame.ui, tr("review.cost_none"));
}

Tone tone_of(advice::AcceptanceKind kind) {
  if (kind == advice::AcceptanceKind::accepted) return Tone::good;
  const bool off =
      kind == advice::AcceptanceKind::over || kind == advice::AcceptanceKind::under;
  return off ? Tone::caution : Tone::plain;
}

void rest_line(Frame& frame, const advice::Acceptance& done) {
  if (!done.rest_possible) return paragraph(frame.ui, tr("review.rest_not"));
  if (done.rest_per_tree.value <= 0) return;
  paragraph(frame.ui, tr("review.rest", {{"n", whole(done.rest_per_tree.value)}}));
}

void block_card(Frame& frame, const advice::BlockDay& day) {
  const advice::Acceptance& done = day.acceptance;
  frame.ui.open_card();
  heading(frame.ui, block_text(frame.season, day.block), 3);
  pill(frame.ui, reason_text(done.reason), tone_of(done.kind));
  if (done.counts > 0 && done.target > 0) {
    paragraph(frame.ui, tr("review.mean", {{"n", whole(done.mean.value)},
                                           {"low", whole(done.mean.low)},
                                           {"high", whole(done.mean.high)},
                                           {"target", whole(done.target)}}));
    paragraph(frame.ui, spread_text(done));
    rest_line(frame, done);
  }
  pace_facts(frame, day.pace);
  cost_facts(frame, day.cost);
  if (button(frame.ui,
             {.id = "map/" + day.block,
              .label = tr("review.map", {{"block", block_text(frame.season, day.block)}}),
              .kind = Kind::quiet})) {
    frame.go(ScreenId::block_map, day.block);
  }
  frame.ui.close_card(frame.ui.theme().card);
}

// The shares above and below are said together, so they must add up as they are said.
double out_of_100(const advice::Acceptance& done) {
  return std::round(100 * done.share_over) + std::round(100 * done.share_under);
}

Cell amount_cell(Frame& frame, double amount) {
  return {amount >= 1 ? money_text(frame.season, amount) : "", amount};
}

std::vector<Cell> block_cells(Frame& frame, const advice::BlockDay& day) {
  const advice::Acceptance& done = day.acceptance;
  const advice::Pace& pace = day.pace;
  const bool counted = done.counts > 0 && done.target > 0;
  const double mean = counted ? done.mean.value : 0;
  const double rate = pace.hours_done > 0 ? pace.trees_per_hour.value : 0;
  const double off = day.cost.thinning_cost.value + day.cost.crop_lost_value.value;
  const bool told = pace.has_green_tip && pace.finish_day > 0;
  return {{block_text(frame.season, day.block)},
          {block_state(done.kind)},
          {counted ? whole(mean) : "", mean},
          {done.target > 0 ? whole(done.target) : "", done.target},
          {counted ? whole(out_of_100(done)) : "", done.share_out_of_band.value},
          {whole(static_cast<double>(pace.trees_done)) + " / " +
               whole(static_cast<double>(pace.trees)),
           pace.trees > 0 ? static_cast<double>(pace.trees_done) / static_cast<double>(pace.trees)
                          : 0},
          {rate > 0 ? number(rate, 1) : "", rate},
          amount_cell(frame, pace.labour_cost),
          amount_cell(frame, off),
          {pace.finish_day > 0 ? date_text(pace.finish_day) : "",
           static_cast<double>(pace.finish_day)},
          {told ? in_time_text(pace.probability_in_time) : "", pace.probability_in_time}};
}

void block_table(Frame& frame, const advice::DayReview& review) {
  SortedTable table("blocks", tr("review.blocks"),
                    {{tr("edit.block.title")},
                     {tr("review.accepted")},
                     {tr("standing.left"), true},
                     {tr("standing.target"), true},
                     {tr("review.out_of_100"), true, true},
                     {tr("review.trees"), true},
                     {tr("review.rate"), true, true},
                     {tr("review.labour"), true, true},
                     {tr("review.cost_off"), true, true},
                     {tr("review.done_about"), true},
                     {tr("review.green_tip_short"), true}});
  for (const advice::BlockDay& day : review.blocks) {
    table.add("map/" + day.block, block_cells(frame, day));
  }
  if (const auto id = table.draw(frame)) frame.go(ScreenId::block_map, id->substr(4));
}

// Under the table, what its numbers would leave a reader to guess.
void block_notes(Frame& frame, const advice::DayReview& review) {
  for (const advice::BlockDay& day : review.blocks) {
    const advice::Acceptance& done = day.acceptance;
    const bool puzzling = done.kind == advice::AcceptanceKind::accepted &&
                          done.share_out_of_band.value >= worth_a_word;
    if (!puzzling) continue;
    small_print(frame.ui, labelled(block_text(frame.season, day.block), spread_text(done)));
  }
}

}  // namespace

std::string block_state(advice::AcceptanceKind kind) {
  switch (kind) {
    case advice::AcceptanceKind::accepted: return tr("block_state.accepted");
    case advice::AcceptanceKind::over: return tr("block_state.over");
    case advice::AcceptanceKind::under: return tr("block_state.under");
    case advice::AcceptanceKind::not_yet_sure: return tr("block_state.unsure");
    case advice::AcceptanceKind::too_few_counts: return tr("block_state.few");
    case advice::AcceptanceKind::no_target: break;
  }
  return tr("block.no_target");
}

std::string spread_text(const advice::Acceptance& done) {
  if (done.counts == 0 || done.target <= 0) return "";
  const double over = std::round(100 * done.share_over);
  const double under = std::round(100 * done.share_under);
  const bool differ = done.kind == advice::AcceptanceKind::accepted &&
                         done.share_out_of_band.value >= worth_a_word;
  return tr(differ ? "review.trees_differ" : "review.share_out",
            {{"n", whole(out_of_100(done))},
             {"low", whole(done.band_low)},
             {"high", whole(done.band_high)},
             {"over", whole(over)},
             {"under", whole(under)}});
}

std::string in_time_text(double probability) {
  if (probability >= as_good_as_sure) return tr("review.in_time_sure");
  if (probability <= 1 - as_good_as_sure) return tr("review.late_sure");
  return tr("review.in_time", {{"n", of_100(probability)}});
}

void blocks_of_day(Frame& frame, const advice::DayReview& review) {
  heading(frame.ui, tr("review.blocks"));
  if (frame.ui.desk()) {
    block_table(frame, review);
    block_notes(frame, review);
    return;
  }
  for (const advice::BlockDay& block : review.blocks) block_card(frame, block);
}

}  // namespace nthtree::screens
