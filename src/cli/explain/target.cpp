// SPDX-License-Identifier: Apache-2.0
// Spurs to leave on a tree: the target, its band, and how well it is known.
#include "advice/review/consequences.h"
#include "cli/explain/steps.h"

namespace nthtree::cli {
namespace {

// Of ln(spurs to leave), from the interval before whole spurs are made of it.
void explain_certainty(const advice::BlockTarget& target, Worksheet& sheet) {
  const orchard::Estimate& exact = target.target.spurs_to_leave_exact;
  const double flowering = target.target.flowering_spurs_exact;
  const orchard::Estimate& p = target.target.floral_fraction;
  if (!(target.log_sd > 0)) return sheet.line("the target is taken as known exactly");
  sheet.equation("before whole spurs, low", num(flowering) + " ÷ " + num(p.high), exact.low);
  sheet.equation("before whole spurs, high", num(flowering) + " ÷ " + num(p.low), exact.high);
  sheet.equation("the target's standard deviation, of its ln", "ln(" + num(exact.high) + " ÷ " +
                 num(exact.low) + ") ÷ (2 × z(0.95))", target.log_sd,
                 "(a 90 % interval is 2 × 1.645 standard deviations)");
}

// What a frost left alive of the flowering spurs.
void explain_frost(const advice::BlockTarget& target, Worksheet& sheet) {
  const orchard::Estimate &floral = target.floral_fraction, &alive = target.alive;
  if (!(alive.value < 1)) return;
  const orchard::Estimate& p = target.target.floral_fraction;
  sheet.equation("flower and are alive after the frost", num(floral.value) + " × " +
                 num(alive.value), p.value, "(share of buds cut open that were alive: " +
                 plain(alive.low) + " to " + plain(alive.high) + ")");
  if (p.low < p.high) {
    sheet.line("their shares are known independently: the squares of ln(high ÷ low) add up");
  }
}

}  // namespace

void explain_target(const ExplainedBlock& it, Worksheet& sheet) {
  const orchard::Block& block = *it.block->block;
  const orchard::Target& target = it.target.target;
  const orchard::Estimate& p = target.floral_fraction;
  const orchard::Estimate& leave = target.spurs_to_leave_per_tree;
  const std::string flowering = num(target.flowering_spurs_per_tree);
  sheet.step("Spurs to leave on a tree: the target");
  explain_frost(it.target, sheet);
  sheet.equation("spurs to leave", "whole(" + flowering + " ÷ " + num(p.value) + ")", leave.value);
  if (p.low < p.high) {
    sheet.equation("at least", "whole(" + flowering + " ÷ " + num(p.high) + ")", leave.low);
    sheet.equation("at most", "whole(" + flowering + " ÷ " + num(p.low) + ")", leave.high);
  }
  explain_certainty(it.target, sheet);
  sheet.equation("on a limb", num(leave.value) + " ÷ " + num(block.limbs_per_tree),
                 leave.value / block.limbs_per_tree, "(limbs on a tree)");
  const double t = block.tolerance_fraction;
  sheet.equation("band, low end", num(leave.value) + " × (1 - " + num(t) + ")",
                 leave.value * (1 - t));
  sheet.equation("band, high end", num(leave.value) + " × (1 + " + num(t) + ")",
                 leave.value * (1 + t));
  sheet.equation("seeds at bloom", flowering + " × " + num(block.target.flowers_per_spur) + " × " +
                 num(block.target.seeds_per_fruit), target.seeds_per_tree_at_bloom,
                 "(flowers a spur × seeds a fruit)");
  const auto what = advice::consequences(it.farm->season, it.block->id);
  sheet.equation("in an on-year", "whole(" + flowering + " ÷ " + num(what.on_year.floral_fraction) +
                 ")", what.on_year.spurs_to_leave);
  sheet.equation("in an off-year", "whole(" + flowering + " ÷ " +
                 num(what.off_year.floral_fraction) + ")", what.off_year.spurs_to_leave);
}

}  // namespace nthtree::cli
