// SPDX-License-Identifier: Apache-2.0
// What each pruner leaves: how trees differ, the level from own counts, the rest of the crew, both
// together.
#include <cmath>

#include "base/text.h"
#include "cli/explain/miscount.h"
#include "cli/explain/steps.h"
#include "cli/text_table.h"

namespace nthtree::cli {

std::string who(const ExplainedBlock& it, const std::string& person) {
  const orchard::Person* found = it.farm->season.person(person);
  return found ? person + " " + found->name : person;
}

namespace {

// Of all trees of the block: squares from every source, over what is free of them.
void explain_block_spread(const ExplainedBlock& it, const advice::BlockSpread& spread,
                          Worksheet& sheet) {
  const std::string prior = num(spread.prior_cv), weight = num(spread.prior_df);
  std::string squares = weight + " × " + prior + " × " + prior, df = weight;
  sheet.line("how trees differ, as squares about a person's mean of a day, relative to it; before "
             "any count as if " + weight + " trees with a spread of " + prior +
             " had been seen (common practice)");
  TextTable table({"from", ">squares", ">degrees of freedom"});
  const auto part = [&](const std::string& name, const advice::SpreadPart& one) {
    if (!(one.df > 0)) return;
    table.row({name, plain(one.squares), plain(one.df)});
    add_term(num(one.squares), squares);
    add_term(num(one.df), df);
  };
  part("other blocks, as a dozen trees at most", spread.elsewhere);
  part("unpruned trees, half", spread.unpruned);
  for (const advice::SpreadPart& one : spread.people) part(who(it, one.person), one);
  sheet.block(table.text("    "));
  sheet.equation("spread of the block's trees, squared", "(" + squares + ") ÷ (" + df + ")",
                 spread.variance);
  sheet.equation("degrees of freedom", df + " × 1", spread.df);
  sheet.line("neighbours alike by " + plain(spread.autocorrelation) +
             ", rows hold " + plain(spread.row_share) +
             " of the variance, as far as either is beyond chance");
}

// Of one pruner's trees: own squares, drawn towards the block's.
void explain_pruner_spread(const advice::BlockSpread& block, const advice::PrunerSpread& spread,
                           Worksheet& sheet) {
  std::string squares;
  for (const advice::DaySpread& day : spread.days) {
    const std::string n = num(day.n), mean = "(" + precise(day.share_sum) + " ÷ " + n + ")";
    sheet.equation(day_text(day.day) + ", squares of " + counted(day.n, "count"),
                   precise(day.share_square_sum) + " ÷ (" + mean + " × " + mean + ") - " + n,
                   day.squares, "(of counts ÷ target: squares ÷ mean² - n)");
    add_term(num(day.squares), squares);
  }
  if (!squares.empty()) sheet.equation("own squares", "(" + squares + ") × 1", spread.squares);
  const std::string weight = num(spread.block_weight), own = num(spread.df);
  sheet.equation("spread of own trees, squared", "(" + weight + " × " + num(block.variance) +
                 " + " + num(spread.squares) + ") ÷ (" + weight + " + " + own + ")",
                 spread.variance, "(drawn towards the block's, which weighs as 30 at most)");
  sheet.equation("degrees of freedom", weight + " + " + own, spread.total_df);
  const std::string serial = num(block.autocorrelation);
  sheet.equation("counts weigh less by", "max((1 + " + serial + ") ÷ (1 - " + serial +
                 "); 1 + (" + num(spread.counts_a_row) + " - 1) × " + num(block.row_share) + ")",
                 spread.inflation, "(neighbours alike; counts of one row)");
  sheet.equation("variance of one more count, of its ln", num(spread.variance) + " × " +
                     num(spread.inflation) +
                     (spread.open_mean > 0 ? " + " + num(spread.open_mean) : ""),
                 spread.count_variance);
}

// A pruner like the others: mean and spread between them, worked out in turn; the last round.
void explain_crew(const advice::PrunerSheet& pruner, Worksheet& sheet) {
  const advice::CrewTerms& crew = pruner.crew;
  const std::string variance = num(crew.prior_variance), before = num(crew.between_before);
  std::string above = num(crew.prior_mean) + " ÷ " + variance, below = "1 ÷ " + variance;
  std::string squares = num(crew.prior_weight) + " × " + num(crew.prior_between);
  double weight = crew.prior_weight;
  for (const advice::CrewMate& mate : crew.others) {
    const std::string spread = "(" + before + " + " + num(mate.variance) + ")";
    add_term(num(mate.mean) + " ÷ " + spread, above);
    add_term("1 ÷ " + spread, below);
    const std::string kept = "(" + before + " ÷ " + spread + ")";
    const std::string gap = kept + " × (" + num(mate.mean) + " - " + num(crew.mean) + ")";
    add_term(gap + " × " + gap + " + " + kept + " × " + num(mate.variance), squares);
    weight += 1;
  }
  sheet.line("the rest of the crew, in ln(spurs left ÷ target): before any count a tenth over, "
             "give or take 0.4, pruners differing by 0.2 (common practice)");
  sheet.equation("their mean", "(" + above + ") ÷ (" + below + ")", crew.mean);
  sheet.equation("its variance", "1 ÷ (" + below + ")", crew.mean_variance);
  sheet.equation("variance between pruners", "(" + squares + ") ÷ " + num(weight), crew.between,
                 "(each drawn towards the mean; as if three had been seen before)");
  sheet.equation("variance of one like them", num(crew.between) + " + " + num(crew.mean_variance),
                 pruner.prior_variance);
}

void explain_own(const advice::PrunerSheet& pruner, Worksheet& sheet) {
  const advice::Standing& s = pruner.row.standing;
  const advice::Counter& counter = pruner.row.counter;
  const auto& likelier = counter.log_ratio.likelier();
  const std::string share = num(pruner.unchecked_share), bias = num(likelier.sd()) + " × " + share;
  sheet.equation("ln(spurs left ÷ target) from own counts", num(pruner.level_mean) + " + " + share +
                 " × (" + num(likelier.mean) + " - " + num(counter.log_mean) + ")", s.own.mean,
                 "(by the likelier of the two ways to count)");
  sheet.equation("its variance, counting included", num(pruner.level_variance) + " + " + bias +
                 " × " + bias, pruner.own_variance,
                 "(what is not known of the counting ratio, × the share of the weight that rests "
                 "on tags nobody re-counted)");
  const std::string target = num(s.target_log_sd);
  sheet.equation("standard deviation, target included", "√(" + num(pruner.own_variance) + " + " +
                 target + " × " + target + ")", s.own.sd, "(what the verdict goes by)");
  sheet.equation("what the counts are worth", num(pruner.spread.count_variance) + " ÷ " +
                 num(pruner.level_variance), s.effective_counts,
                 "counts of today; faded ones included");
}

void explain_pruner(const ExplainedBlock& it, const advice::StandingSheet& work,
                    const advice::PrunerSheet& pruner, Worksheet& sheet) {
  const advice::Standing& s = pruner.row.standing;
  sheet.line("");
  sheet.line(who(it, pruner.row.person) + ": " + counted(s.counts, "count") + ", " +
             num(s.checks) + " of them re-counted" +
             (s.after_advice ? ", since the last advice; before it " +
                                   counted(s.counts_before, "count") + ", " +
                                   num(s.checks_before) + " re-counted"
                             : ""));
  if (s.counts + s.counts_before == 0) {
    return sheet.line("nothing counted here yet; taken to be like the crew");
  }
  explain_pruner_spread(work.spread, pruner.spread, sheet);
  explain_level(work, pruner, sheet);
  explain_own(pruner, sheet);
  explain_crew(pruner, sheet);
  explain_together(pruner, work.settings.tolerance_fraction, sheet);
  explain_verdict(it, pruner, sheet);
  explain_against_crew(it, pruner, sheet);
}

}  // namespace

void explain_standings(const ExplainedBlock& it, Worksheet& sheet) {
  sheet.step("What each pruner leaves, and the verdict");
  const auto work = advice::standing_sheet(it.farm->season, it.block->id, it.farm->now_ms);
  if (work.pruners.empty()) return sheet.line("nobody has counted here yet");
  sheet.line(base::print("harder or lighter is told when the level is surely more than half a "
                         "tolerance (%.3g %%) off: at most %.0f %% told wrongly over a day",
                         50 * work.settings.tolerance_fraction,
                         100 * (1 - work.settings.sureness)));
  explain_block_spread(it, work.spread, sheet);
  explain_components(it, work, sheet);
  for (const advice::PrunerSheet& pruner : work.pruners) explain_pruner(it, work, pruner, sheet);
}

}  // namespace nthtree::cli
