// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include "advice/known/counting_bias.h"
#include "advice/internal/counting_tally.h"
#include "advice/review/crew_board.h"
#include "advice/settings.h"
#include "base/text.h"
#include "cli/explain_steps.h"
#include "cli/reason_text.h"
#include "cli/text_table.h"

namespace nthtree::cli {

std::string who(const ExplainedBlock& it, const std::string& person) {
  const orchard::Person* found = it.farm->season.person(person);
  return found ? person + " " + found->name : person;
}

namespace {

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

constexpr double table_end = 5;  // of the normal distribution, in standard deviations

// One side of the verdict: how far the level is past half a tolerance, against the line.
void explain_side(const std::string& name, const advice::BoundaryCheck& check, bool up,
                  Worksheet& sheet) {
  const advice::SideCheck& side = up ? check.harder : check.lighter;
  const std::string level = up ? num(check.mean) : "(0 - " + num(check.mean) + ")";
  const std::string sd = num(check.sd), df = num(check.df), s = num(side.separation);
  // Below the target the cube-root scale is stretched the other way.
  const auto past = [&](double edge) {
    return up ? "3 × (exp((" + level + " - " + num(edge) + ") ÷ 3) - 1)"
              : "3 × (1 - exp((" + num(edge) + " - " + level + ") ÷ 3))";
  };
  sheet.equation(name + ": separation s", "(" + num(side.far) + " - " + num(side.near) + ") ÷ " +
                 sd, side.separation);
  const auto reached = [&](const std::string& what, const std::string& formula, double z) {
    if (std::fabs(z) < table_end) return sheet.equation(what, formula, z);
    sheet.line(what + ": beyond any table (" + base::print("%.1f", z) + ")");
  };
  reached(name + ": z reached", "z(T(" + past(side.near) +
                 " ÷ " + sd + "; " + df + "))", side.z);
  const std::string line = s + " ÷ 2 + " + num(side.b) + " ÷ " + s;
  const std::string early = "√(" + num(side.z_early) + " × " + num(side.z_early) +
                            " + 1.2 × ln(" + num(side.counts_worth) + "))";
  sheet.equation(name + ": z needed", side.early ? early : line, side.z_needed,
                 side.early ? "(the early line)" : "(Wald's line)");
  reached(name + ": z short of one and a half tolerances",
                 "z(T(0 - (" + past(side.far) + ") ÷ " + sd + "; " + df + "))", side.z_clear);
  sheet.equation(name + ": z needed to rule it out", s + " ÷ 2 + " + num(side.a) + " ÷ " + s,
                 side.z_clear_needed);
}

void explain_pruner(const ExplainedBlock& it, const advice::CrewRow& row,
                    const advice::Settings& settings, Worksheet& sheet) {
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
  explain_level(it, row.person, row.counter.ratio.value, s.target.value, sheet);
  sheet.line("ln(spurs left ÷ target) from own counts: " + plain(s.own.mean) + ", variance " +
             plain(own_variance) + ", with that of the counting ratio where tags were not "
             "re-counted");
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
  explain_chances(s, settings.tolerance_fraction, sheet);
  explain_side("harder", advice::check_boundary(s, settings), true, sheet);
  explain_side("lighter", advice::check_boundary(s, settings), false, sheet);
  sheet.line("verdict: " + word_of(row.verdict) + "; " + sentence(row.verdict.reason));
  for (const advice::Reason& note : row.verdict.notes) sheet.line("note: " + sentence(note));
  const std::string hands = in_the_hands(row.verdict);
  if (!hands.empty()) sheet.line("in the hands: " + hands);
  if (row.drift.level.alarm) {
    sheet.line(base::print("the chart says: moved %+.0f %% since %s", 100 * row.drift.level.change,
                           farm_time(it.farm->season, row.drift.level.began_ms).c_str()));
  }
}

// The mean of ln(re-count ÷ tag) over all blocks, pair by pair.
void explain_pairs(const std::vector<double>& logs, double mean, Worksheet& sheet) {
  constexpr std::size_t shown_most = 24;
  if (logs.empty() || logs.size() > shown_most) return;
  std::string sum;
  for (const double log : logs) sum += (sum.empty() ? "" : " + ") + num(log);
  sheet.equation("mean of ln(re-count ÷ tag)", "(" + sum + ") ÷ " +
                 num(static_cast<double>(logs.size())), mean);
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
  std::map<std::string, advice::PersonTally> tallies;
  for (const auto& [id, block] : it.farm->season.blocks()) {
    advice::CountingTally tally;
    tally.take(it.farm->season, block, it.farm->now_ms);
    tally.add_to(tallies);
  }
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
    sheet.line(base::print("%s: %d pairs, own ratio re-count ÷ tag %s (90 %%: %s to %s)",
                           who(it, person).c_str(), counter.pairs,
                           plain(counter.own_ratio.value).c_str(),
                           plain(counter.own_ratio.low).c_str(),
                           plain(counter.own_ratio.high).c_str()));
    explain_pairs(tallies[person].pair_logs, std::log(counter.own_ratio.value), sheet);
    if (counter.pooled_share > 0) {
      explain_pooling("ln(ratio), own and crew's", std::log(counter.own_ratio.value), own_variance,
                      bias.crew_log_mean, between, counter.log_mean, sheet);
    }
    sheet.equation("a tag count is multiplied by", "exp(" + plain(counter.log_mean) + ")",
                   counter.ratio.value, "(90 %: " + plain(counter.ratio.low) + " to " +
                   plain(counter.ratio.high) + ")");
    for (const auto sign : counter.signs) {
      sheet.line("look at how this person counts: " + word_of(sign));
    }
    if (!counter.signs.empty()) {
      sheet.line(base::print("of %d numbers %.0f %% end in 0 or 5 (20 %% by chance), %.0f %% "
                             "repeat the one before; spread %.2f of the others'", counter.counts,
                             100 * counter.digit_share, 100 * counter.repeat_share,
                             counter.spread_ratio));
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
  for (const auto& row : board) explain_pruner(it, row, settings, sheet);
}

}  // namespace nthtree::cli
