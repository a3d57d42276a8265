// SPDX-License-Identifier: Apache-2.0
#include "cli/explain/miscount.h"

namespace nthtree::cli {
namespace {

struct Part {  // one of the two beliefs, and what it is held against
  double mean = 0, variance = 1;
};

// The chance of the odd part after what was seen, from how far off each part had it.
void explain_off_chance(double before, const Part& usual, const Part& off, const Part& seen,
                        double result, Worksheet& sheet) {
  const auto spread = [&](const Part& part) {
    return "(" + num(part.variance) + " + " + num(seen.variance) + ")";
  };
  const auto off_by = [&](const Part& part) {
    const std::string d = "(" + num(part.mean) + " - " + num(seen.mean) + ")";
    return d + " × " + d + " ÷ (2 × " + spread(part) + ")";
  };
  sheet.equation("chance of counting unlike the crew",
                 "1 ÷ (1 + (1 - " + num(before) + ") ÷ " + num(before) + " × √(" + spread(off) +
                 " ÷ " + spread(usual) + ") × exp(" + off_by(off) + " - " + off_by(usual) + "))",
                 result);
}

void explain_mixed(const std::string& name, double chance, double usual, double off,
                   double result, Worksheet& sheet) {
  sheet.equation(name, "(1 - " + num(chance) + ") × " + num(usual) + " + " + num(chance) + " × " +
                 num(off), result);
}

// T of one end of the band, for one belief.
std::string chance_of(const std::string& distance, double sd, double df) {
  return "T((" + distance + ") ÷ " + num(sd) + "; " + num(df) + ")";
}

void explain_chances(const advice::Standing& s, double tolerance, Worksheet& sheet) {
  const auto mixed = [&](const std::string& name, bool above, double result) {
    const auto of = [&](const advice::LogRatio& r) {
      return above ? chance_of(num(r.mean) + " - ln(1 + " + num(tolerance) + ")", r.sd, s.tree_df)
                   : chance_of("ln(1 - " + num(tolerance) + ") - " + num(r.mean), r.sd, s.tree_df);
    };
    const advice::Miscount& m = s.miscount;
    sheet.equation(name, m.chance <= 0 ? of(s.log_ratio)
                                       : "(1 - " + num(m.chance) + ") × " + of(m.usual) + " + " +
                                             num(m.chance) + " × " + of(m.off), result);
  };
  mixed("chance above the band", true, s.probability_over);
  mixed("chance below the band", false, s.probability_under);
}

// Two normal distributions of the same thing, weighed by how sure they are.
void explain_pooling(const std::string& name, const Part& own, const Part& prior, double result,
                     Worksheet& sheet) {
  const std::string a = num(own.variance), b = num(prior.variance);
  sheet.equation(name, "(" + num(own.mean) + " ÷ " + a + " + " + num(prior.mean) + " ÷ " + b +
                 ") ÷ (1 ÷ " + a + " + 1 ÷ " + b + ")", result);
}

}  // namespace

void explain_ratio(const advice::CounterSheet& person, const advice::CountingBias& bias,
                   Worksheet& sheet) {
  const stats::BeliefMixture before = bias.newcomer(), &after = person.counter.log_ratio;
  const Part seen{person.own_mean, person.own_variance};
  const Part usual{before.usual.mean, before.usual.variance()};
  const Part off{before.off.mean, before.off.variance()};
  explain_pooling("ln(ratio), as the crew counts", seen, usual, after.usual.mean, sheet);
  explain_pooling("ln(ratio), unlike the crew", seen, off, after.off.mean, sheet);
  explain_off_chance(before.off_chance, usual, off, seen, after.off_chance, sheet);
  explain_mixed("ln(ratio)", after.off_chance, after.usual.mean, after.off.mean,
                person.counter.log_mean, sheet);
}

void explain_together(const advice::PrunerSheet& pruner, double tolerance, Worksheet& sheet) {
  const advice::Standing& s = pruner.row.standing;
  const stats::BeliefMixture& ratio = pruner.row.counter.log_ratio;
  const Part crew{pruner.crew.mean, pruner.prior_variance};
  const double level = pruner.pooled_mean, low_by = level - pruner.level_mean;
  sheet.equation("ln(level) for pooling", num(pruner.level_mean) + " + " + num(low_by), level,
                 "(half its variance: the logarithm of a mean that scatters lies low)");
  const std::string share = num(pruner.unchecked_share);
  const auto part_of = [&](const std::string& name, const stats::NormalBelief& counts,
                           const advice::LogRatio& pooled) {
    const double used = pruner.row.counter.log_mean;
    const Part own{level + pruner.unchecked_share * (counts.mean - used),
                   pruner.level_variance +
                       pruner.unchecked_share * pruner.unchecked_share * counts.variance()};
    sheet.equation(name + ": own ln(level)", num(level) + " + " + share + " × (" +
                   num(counts.mean) + " - " + num(used) + ")", own.mean);
    sheet.equation(name + ": its variance", num(pruner.level_variance) + " + " + share + " × " +
                   share + " × " + num(counts.variance()), own.variance,
                   "(tags nobody re-counted carry the ratio's)");
    explain_pooling(name + ": with the crew", own, crew, pooled.mean, sheet);
    sheet.equation(name + ": standard deviation, target's own included",
                   "√(1 ÷ (1 ÷ " + num(own.variance) + " + 1 ÷ " + num(crew.variance) + ") + " +
                   num(s.target_log_sd) + " × " + num(s.target_log_sd) + ")", pooled.sd);
    return own;
  };
  const Part usual = part_of("as the crew counts", ratio.usual, s.miscount.usual);
  if (s.miscount.chance > 0) {
    const Part off = part_of("unlike the crew", ratio.off, s.miscount.off);
    explain_off_chance(ratio.off_chance, usual, off, crew, s.miscount.chance, sheet);
    explain_mixed("ln(spurs left ÷ target)", s.miscount.chance, s.miscount.usual.mean,
                  s.miscount.off.mean, s.log_ratio.mean, sheet);
    sheet.line("its standard deviation, so that 1.645 of it hold the middle 90 % of both: " +
               plain(s.log_ratio.sd));
  }
  sheet.equation("spurs left on a tree", num(s.target.value) + " × exp(" +
                 plain(s.log_ratio.mean) + ")", s.spurs_per_tree.value);
  if (s.is_target_out_of_reach() && s.over_target.value <= 0) {
    sheet.equation("short, at most of what unpruned trees carry",
                   num(s.spurs_per_tree.value) + " - " + num(s.unpruned_spurs),
                   s.over_target.value);
  } else {
    sheet.equation("over target", num(s.spurs_per_tree.value) + " - " + num(s.target.value),
                   s.over_target.value);
  }
  explain_chances(s, tolerance, sheet);
}

}  // namespace nthtree::cli
