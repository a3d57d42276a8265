// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include "advice/acceptance.h"
#include "advice/cost.h"
#include "advice/counting_bias.h"
#include "advice/crew_board.h"
#include "advice/pace.h"
#include "advice/settings.h"
#include "base/text.h"
#include "cli/explain_steps.h"
#include "cli/reason_text.h"
#include "cli/text_table.h"

namespace nthtree::cli {
namespace {

std::string who(const ExplainedBlock& it, const std::string& person) {
  const orchard::Person* found = it.farm->season.person(person);
  return found ? person + " " + found->name : person;
}

double squared(double x) { return x * x; }
double left_over(double whole, double part) {
  return std::sqrt(std::max(0.0, squared(whole) - squared(part)));
}

// The counts of one pruner here since the last advice, and their plain mean.
struct Tags {
  int n = 0;
  double sum = 0;
  std::string latest;  // the last few
};

Tags tags_of(const ExplainedBlock& it, const std::string& person, std::int64_t since_ms) {
  constexpr std::size_t shown_most = 8;
  Tags tags;
  std::vector<std::string> all;
  for (const auto& entry : it.block->tag_counts) {
    if (entry.withdrawn || entry.author != person || entry.at_ms() < since_ms) continue;
    tags.n += 1;
    tags.sum += entry.body.spurs;
    all.push_back(std::to_string(entry.body.spurs));
  }
  for (std::size_t i = all.size() - std::min(shown_most, all.size()); i < all.size(); ++i) {
    tags.latest += (tags.latest.empty() ? "" : ", ") + all[i];
  }
  return tags;
}

// Two normal distributions of the same thing, weighed by how sure they are.
void explain_pooling(const std::string& name, double own_mean, double own_variance,
                     double prior_mean, double prior_variance, double result, Worksheet& sheet) {
  sheet.equation(name, "(" + num(own_mean) + " ÷ " + num(own_variance) + " + " + num(prior_mean) +
                 " ÷ " + num(prior_variance) + ") ÷ (1 ÷ " + num(own_variance) + " + 1 ÷ " +
                 num(prior_variance) + ")", result);
}

void explain_chances(const advice::Standing& s, double tolerance, Worksheet& sheet) {
  const std::string tail = ") ÷ " + num(s.log_ratio.sd) + "; " + num(s.tree_df) + ")";
  sheet.equation("chance above the band", "T((" + num(s.log_ratio.mean) + " - ln(1 + " +
                 num(tolerance) + ")" + tail, s.probability_over);
  sheet.equation("chance below the band", "T((ln(1 - " + num(tolerance) + ") - " +
                 num(s.log_ratio.mean) + tail, s.probability_under);
}

void explain_pruner(const ExplainedBlock& it, const advice::CrewRow& row, double tolerance,
                    Worksheet& sheet) {
  const advice::Standing& s = row.standing;
  sheet.line("");
  sheet.line(base::print("%s: %d counts%s, %d of them re-counted", who(it, row.person).c_str(),
                         s.counts, s.counts_before ? base::print(
                             " since the last advice (%d before)", s.counts_before).c_str() : "",
                         s.checks));
  if (s.counts == 0) return sheet.line("nothing counted here yet; taken to be like the crew");
  const Tags tags = tags_of(it, row.person, s.after_advice ? s.segment_start_ms : 0);
  if (tags.n > 0) {
    sheet.line("the last tags: " + tags.latest);
    sheet.equation("plain mean × counting ratio", num(tags.sum) + " ÷ " + num(tags.n) + " × " +
                   num(row.counter.ratio.value), tags.sum / tags.n * row.counter.ratio.value,
                   "spurs, for comparison");
  }
  const double own_variance = squared(left_over(s.own.sd, s.target_log_sd));
  const double prior_variance = squared(left_over(s.prior.sd, s.target_log_sd));
  sheet.line("ln(spurs left ÷ target), followed through the days, older counts faded: " +
             plain(s.own.mean) + ", variance " + plain(own_variance));
  sheet.line("ln(spurs left ÷ target) of the rest of the crew: " + plain(s.prior.mean) +
             ", variance " + plain(prior_variance));
  explain_pooling("both together", s.own.mean, own_variance, s.prior.mean, prior_variance,
                  s.log_ratio.mean, sheet);
  const double target = s.target.value;
  sheet.equation("spurs left on a tree", num(target) + " × exp(" + plain(s.log_ratio.mean) + ")",
                 s.spurs_per_tree.value);
  sheet.equation("over target", num(s.spurs_per_tree.value) + " - " + num(target),
                 s.over_target.value);
  sheet.equation("its standard deviation, target's own included",
                 "√(1 ÷ (1 ÷ " + num(own_variance) + " + 1 ÷ " + num(prior_variance) + ") + " +
                 num(s.target_log_sd) + " × " + num(s.target_log_sd) + ")", s.log_ratio.sd);
  explain_chances(s, tolerance, sheet);
  sheet.line("verdict: " + word_of(row.verdict.kind) + "; " + sentence(row.verdict.reason));
  for (const advice::Reason& note : row.verdict.notes) sheet.line("note: " + sentence(note));
  const std::string hands = in_the_hands(row.verdict);
  if (!hands.empty()) sheet.line("in the hands: " + hands);
  if (row.drift.level.alarm) {
    sheet.line(base::print("the chart says: moved %+.0f %% since %s", 100 * row.drift.level.change,
                           farm_time(it.farm->season, row.drift.level.began_ms).c_str()));
  }
}

// Trees pruned by each, from the spells of work: the weights of the block's mean.
std::map<std::string, double> trees_pruned(const ExplainedBlock& it) {
  std::map<std::string, double> trees;
  for (const auto& entry : it.block->work_spells) {
    if (!entry.withdrawn) trees[entry.author] += entry.body.trees;
  }
  return trees;
}

std::string day_text(std::int64_t day) {
  return base::iso_minute(day * 24 * 3600 * 1000).substr(0, 10);
}

}  // namespace

void explain_counting(const ExplainedBlock& it, Worksheet& sheet) {
  sheet.step("What people miss when they count");
  const auto bias = advice::counting_bias(it.farm->season, it.farm->now_ms);
  const double between = squared(bias.crew_log_sd_between) + squared(bias.crew_log_mean_sd);
  sheet.line(base::print("%d tagged trees were counted again by a lead; crew: ln(re-count ÷ tag) "
                         "%s, variance of one person %s, of one pair %s", bias.pairs,
                         plain(bias.crew_log_mean).c_str(), plain(between).c_str(),
                         plain(squared(bias.log_sd_of_one)).c_str()));
  std::set<std::string> here;
  for (const auto& entry : it.block->tag_counts) {
    if (!entry.withdrawn) here.insert(entry.author);
  }
  for (const std::string& person : here) {
    const advice::Counter counter = bias.of(person);
    if (counter.pairs == 0) {
      sheet.line(who(it, person) + ": never counted again; the crew's ratio " +
                 plain(counter.ratio.value));
      continue;
    }
    const double own_variance = squared(counter.log_sd_of_one) / counter.pairs;
    sheet.line("");
    sheet.line(base::print("%s: %d pairs, own ratio re-count ÷ tag %s", who(it, person).c_str(),
                           counter.pairs, plain(counter.own_ratio.value).c_str()));
    if (counter.pooled_share > 0) {
      explain_pooling("ln(ratio), own and crew's", std::log(counter.own_ratio.value), own_variance,
                      bias.crew_log_mean, between, counter.log_mean, sheet);
    }
    sheet.equation("a tag count is multiplied by", "exp(" + plain(counter.log_mean) + ")",
                   counter.ratio.value);
    for (const auto sign : counter.signs) {
      sheet.line("look at how this person counts: " + word_of(sign));
    }
  }
}

void explain_standings(const ExplainedBlock& it, Worksheet& sheet) {
  sheet.step("What each pruner leaves, and the verdict");
  const auto settings = advice::settings_for(it.farm->season, *it.block);
  const auto board = advice::crew_board(it.farm->season, it.block->id, it.farm->now_ms);
  if (board.empty()) return sheet.line("nobody has counted here yet");
  sheet.line(base::print("harder or lighter is told when the level is surely more than half a "
                         "tolerance (%.3g %%) off: at most %.0f %% told wrongly over a day",
                         50 * settings.tolerance_fraction, 100 * (1 - settings.sureness)));
  for (const auto& row : board) explain_pruner(it, row, settings.tolerance_fraction, sheet);
}

void explain_block(const ExplainedBlock& it, Worksheet& sheet) {
  sheet.step("The block as a whole");
  const auto done = advice::accept_block(it.farm->season, it.block->id, it.farm->now_ms);
  if (done.counts == 0) return sheet.line("nothing counted yet");
  const auto standings = advice::block_standings(it.farm->season, it.block->id, it.farm->now_ms);
  const auto pruned = trees_pruned(it);
  std::string above, below;
  TextTable table({"pruner", ">trees pruned", ">spurs left ÷ target"});
  for (const auto& s : standings.pruners) {
    const auto found = pruned.find(s.person);
    const double trees = found != pruned.end() && found->second > 0
                             ? found->second : std::max(1, s.counts + s.counts_before);
    const double level = std::exp(s.own.mean);
    above += (above.empty() ? "" : " + ") + num(trees) + " × " + num(level);
    below += (below.empty() ? "" : " + ") + num(trees);
    table.row({who(it, s.person), plain(trees), plain(level)});
  }
  sheet.block(table.text("  "));
  sheet.equation("mean spurs on a tree", num(done.target) + " × (" + above + ") ÷ (" + below + ")",
                 done.mean.value);
  sheet.line(base::print("90 %% interval %s to %s; band %s to %s", plain(done.mean.low).c_str(),
                         plain(done.mean.high).c_str(), plain(done.band_low).c_str(),
                         plain(done.band_high).c_str()));
  sheet.line(base::print("acceptance by two one-sided tests at 5 %%: larger p %.3g; %s; %s",
                         done.tost_p, word_of(done.kind).c_str(), sentence(done.reason).c_str()));
  sheet.line(base::print("trees outside the band: %.0f %% (%.0f %% over, %.0f %% under)",
                         100 * done.share_out_of_band.value, 100 * done.share_over,
                         100 * done.share_under));
  if (done.rest_per_tree.value >= 0 && done.trees > done.trees_done && done.rest_possible) {
    const double all = static_cast<double>(done.trees), so_far = double(done.trees_done);
    sheet.equation("each tree still to prune, for the whole to land on target",
                   "(" + num(all) + " × " + num(done.target) + " - " + num(so_far) + " × " +
                   num(done.mean.value) + ") ÷ " + num(all - so_far), done.rest_per_tree.value);
  }
}

void explain_pace(const ExplainedBlock& it, Worksheet& sheet) {
  sheet.step("Time and money");
  const auto pace = advice::pace_of(it.farm->season, it.block->id, it.farm->now_ms);
  sheet.equation("trees left", num(double(pace.trees)) + " - " + num(double(pace.trees_done)),
                 double(pace.trees_left));
  if (pace.trees_left > 0 && pace.hours_left.value > 0) {
    sheet.equation("hours left", num(double(pace.trees_left)) + " ÷ " +
                   num(pace.trees_per_hour.value), pace.hours_left.value,
                   base::print("(%s to %s)", plain(pace.hours_left.low).c_str(),
                               plain(pace.hours_left.high).c_str()));
    if (pace.finish_day > 0) {
      sheet.line(base::print("with %.0f people: done about %s (%s to %s)%s", pace.people,
                             day_text(pace.finish_day).c_str(),
                             day_text(pace.finish_day_early).c_str(),
                             day_text(pace.finish_day_late).c_str(),
                             pace.has_green_tip ? (", green tip " + day_text(pace.green_tip_day))
                                                      .c_str() : ""));
    }
  }
  const auto cost = advice::cost_of(it.farm->season, it.block->id, it.farm->now_ms);
  if (!cost.known || !cost.has_rates) return sheet.line("no rates are set, or nothing is counted");
  const auto& farm = it.farm->season.farm();
  const double trees = static_cast<double>(it.block->block->trees());
  const double floral = it.target.target.floral_fraction.value;
  sheet.equation("one spur too many on every tree costs", num(floral) + " × " + num(trees) +
                 " ÷ " + num(farm.hand_thinning_fruitlets_per_hour) + " × " +
                 num(farm.wage_per_hour), cost.cost_per_spur_over, "(to thin by hand)");
  sheet.line("one spur too few on every tree costs " + plain(cost.cost_per_spur_short) +
             " (fruit that does not grow)");
  sheet.equation("thinning at the present mean", num(cost.excess_spurs_per_tree.value) + " × " +
                 num(cost.cost_per_spur_over), cost.thinning_cost.value);
  sheet.equation("crop lost at the present mean", num(cost.short_spurs_per_tree.value) + " × " +
                 num(cost.cost_per_spur_short), cost.crop_lost_value.value);
}

}  // namespace nthtree::cli
