// SPDX-License-Identifier: Apache-2.0
// The verdict: how far the level is past half a tolerance, and short of one and a half, against the
// lines of both sides; each line from its terms.
#include <cmath>

#include "base/text.h"
#include "cli/explain/steps.h"
#include "cli/reason_text.h"

namespace nthtree::cli {
namespace {

constexpr double table_end = 5;  // of the normal distribution, in standard deviations

void explain_reached(const std::string& what, const std::string& formula, double z,
                     Worksheet& sheet) {
  if (std::fabs(z) < table_end) return sheet.equation(what, formula, z);
  sheet.line(what + ": beyond any table (" + base::print("%.1f", z) + ")");
}

std::string correction(const advice::BoundaryCorrection& of, const std::string& step) {
  return "max(" + num(of.least) + "; min(" + num(of.most) + "; " + num(of.slope) + " × (" +
         num(of.at) + " - " + step + ")))";
}

// a, b and the early line of one side.
void explain_lines(const std::string& name, const advice::SideCheck& side, double count_variance,
                   Worksheet& sheet) {
  const advice::BoundaryTerms& terms = side.terms;
  const std::string step = num(terms.step), alpha = num(terms.alpha);
  sheet.equation(name + ": separation that one count adds", "(" + num(side.far) + " - " +
                 num(side.near) + ") ÷ √(" + num(count_variance) + ")", terms.step);
  const std::string overshoot =
      num(terms.overshoot) + " × min(" + step + "; " + num(terms.step_most) + ")";
  sheet.equation(name + ": b", "max(" + num(terms.least) + "; ln(1 ÷ (" +
                 num(terms.kept_for_line) + " × " + alpha + ")) - " + overshoot + " + " +
                 correction(terms.more_b, step) + ")", side.b,
                 "(" + alpha + ": told wrongly at most; Siegmund's overshoot; a correction that "
                 "was measured)");
  sheet.equation(name + ": a", "max(" + num(terms.least) + "; ln((1 - " + alpha + ") ÷ " +
                 num(terms.beta) + ") - " + overshoot + " + " + correction(terms.more_a, step) +
                 " + " + num(terms.kept_back_a) + ")", side.a,
                 "(" + num(terms.beta) + ": missed at most at one and a half)");
  sheet.equation(name + ": z of a first count", "z(1 - " + num(terms.early_share) + " × " + alpha +
                 ")", side.z_early, "(the early line begins there)");
  const std::string steps = "(" + num(side.separation) + " ÷ " + step + ")";
  sheet.equation(name + ": counts' worth known", "max(1; " + steps + " × " + steps + ")",
                 side.counts_worth);
}

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
  explain_lines(name, side, check.count_variance, sheet);
  explain_reached(name + ": z reached", "z(T(" + past(side.near) + " ÷ " + sd + "; " + df + "))",
                  side.z, sheet);
  const std::string line = s + " ÷ 2 + " + num(side.b) + " ÷ " + s;
  const std::string early = "√(" + num(side.z_early) + " × " + num(side.z_early) + " + " +
                            num(side.terms.early_growth) + " × ln(" + num(side.counts_worth) +
                            "))";
  sheet.equation(name + ": z needed", side.early ? early : line, side.z_needed,
                 side.early ? "(the early line)" : "(Wald's line)");
  explain_reached(name + ": z short of one and a half tolerances", "z(T(0 - (" + past(side.far) +
                  ") ÷ " + sd + "; " + df + "))", side.z_clear, sheet);
  sheet.equation(name + ": z needed to rule it out", s + " ÷ 2 + " + num(side.a) + " ÷ " + s,
                 side.z_clear_needed);
}

}  // namespace

void explain_verdict(const ExplainedBlock& it, const advice::PrunerSheet& pruner,
                     Worksheet& sheet) {
  const advice::CrewRow& row = pruner.row;
  sheet.line(base::print("half a tolerance is ln(1 + t ÷ 2) %s over and %s under, one and a half "
                         "%s and %s", plain(pruner.check.harder.near).c_str(),
                         plain(pruner.check.lighter.near).c_str(),
                         plain(pruner.check.harder.far).c_str(),
                         plain(pruner.check.lighter.far).c_str()));
  explain_side("harder", pruner.check, true, sheet);
  explain_side("lighter", pruner.check, false, sheet);
  sheet.line("verdict: " + word_of(row.verdict) + "; " + sentence(row.verdict.reason));
  for (const advice::Reason& note : row.verdict.notes) sheet.line("note: " + sentence(note));
  const std::string hands = in_the_hands(row.verdict);
  if (!hands.empty()) sheet.line("in the hands: " + hands);
  if (row.drift.level.alarm) {
    sheet.line(base::print("the chart says: moved %+.0f %% since %s", 100 * row.drift.level.change,
                           farm_time(it.farm->season, row.drift.level.began_ms).c_str()));
  }
}

}  // namespace nthtree::cli
