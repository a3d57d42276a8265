// SPDX-License-Identifier: Apache-2.0
#include <cmath>
#include <memory>

#include "day.h"
#include "pages.h"
#include "report.h"

namespace nthtree::oc {
namespace {

constexpr double half_up = 1.075, half_down = 0.925, far_up = 1.225, far_down = 0.775;

struct Named {
  std::string name;
  std::unique_ptr<Method> method;
};

std::vector<Named> methods_for(const Known& known) {
  std::vector<Named> list;
  list.push_back({"ours, spread known from 12 trees",
                  std::make_unique<Ours>(known, OursSetup{.spread_df = 12})});
  list.push_back({"ours, nothing known", std::make_unique<Ours>(known, OursSetup{})});
  list.push_back({"Wald's test, spread known exactly", wald(known)});
  const int n = n_for_fixed_t(known);
  list.push_back({"t interval after " + std::to_string(n) + " counts", fixed_n_t(known, n)});
  list.push_back({"plain mean against the band", plain_mean(known)});
  list.push_back({"three-sigma chart", shewhart(known)});
  list.push_back({"EWMA, 0.2 and 2.86", ewma(known)});
  return list;
}

void add_rates(const Known& known, Named& named, const Effort& effort, Table& table) {
  const DayPlan whole_day{effort.days, 100, false}, to_verdict{effort.days, 300, true};
  const auto at = [&](double ratio, const DayPlan& plan, std::uint64_t more) {
    return simulate_days(*named.method, {.ratio = ratio, .cv = known.cv}, plan,
                         effort.seed * 100 + more);
  };
  const Rates up = at(half_up, whole_day, 1), down = at(half_down, whole_day, 2);
  const Rates far = at(far_up, to_verdict, 3), under = at(far_down, to_verdict, 4);
  const Rates twice = at(2.0, to_verdict, 5);
  const double wrong_way = std::max({up.told_lighter, down.told_harder, far.first_lighter,
                                     under.first_harder, twice.first_lighter});
  const bool holds = up.told_change() <= 0.055 && down.told_change() <= 0.055;
  table.add({percent(known.cv, 0), named.name, percent(up.told_change()),
             percent(down.told_change()), percent(wrong_way), percent(far.first_harder),
             number(far.trees_mean, 1), number(far.trees_p95, 0),
             number(far.trees_mean / wald_bound(known, far_up), 2),
             percent(under.first_lighter), number(under.trees_mean, 1),
             number(under.trees_mean / wald_bound(known, far_down), 2),
             number(twice.trees_mean, 2), holds ? "yes" : "no"});
}

}  // namespace

std::vector<Page> rates_pages(const Effort& effort) {
  Table table{{"spread", "method", "told to change at +½ t, a day of 100", "at −½ t",
               "told the wrong way", "right at +1½ t", "trees", "95 %", "× bound",
               "right at −1½ t", "trees", "× bound", "trees at +100 %", "holds 5 %"}, {}};
  for (double cv : {0.15, 0.25, 0.35, 0.45}) {
    Known known;
    known.cv = cv;
    for (Named& named : methods_for(known)) add_rates(known, named, effort, table);
  }
  std::string text =
      "# Verdicts and what a crew would use instead\n\n"
      "One pruner, tolerance t = 15 %, every tree of a day of 100 counted and looked at. Trees are "
      "negative binomial.\nThe bound is Wald's average sample number for half a tolerance against "
      "one and a half at 5 % and 10 %, the\nspread known and the overshoot left out, so that even "
      "Wald's own test stands above it.\n\n";
  return {{"verdict_rates.md", text + table.markdown()}};
}

std::vector<Page> curve_pages(const Effort& effort) {
  Known known;
  Ours ours(known, {.spread_df = 12});
  const auto test = wald(known);
  const auto fixed = fixed_n_t(known, n_for_fixed_t(known));
  Table table{{"true mean", "harder", "lighter", "on target", "open after 100", "trees", "95 %",
               "Wald's test: trees", "t interval: trees"}, {}};
  Plot chances{"Chance of each first verdict (spread 25 %)", "true mean against target, %",
               "chance", -40, 100, 0, 1, {{"harder", {}, {}}, {"lighter", {}, {}},
               {"on target", {}, {}}}, {-22.5, -7.5, 7.5, 22.5}};
  Plot trees{"Trees counted until the first verdict (spread 25 %)",
             "true mean against target, %", "trees", -40, 100, 0, 40,
             {{"ours", {}, {}}, {"Wald, all known", {}, {}}, {"t interval", {}, {}}},
             {-22.5, -7.5, 7.5, 22.5}};
  for (double off : {-40.0, -30.0, -22.5, -15.0, -7.5, 0.0, 7.5, 15.0, 22.5, 30.0, 40.0, 60.0,
                     100.0, 150.0, 200.0}) {
    const Truth truth{.ratio = 1 + off / 100};
    const DayPlan plan{effort.days, 100, true};
    const Rates a = simulate_days(ours, truth, plan, effort.seed + 11);
    const Rates b = simulate_days(*test, truth, plan, effort.seed + 11);
    const Rates c = simulate_days(*fixed, truth, plan, effort.seed + 11);
    table.add({signed_percent(truth.ratio), percent(a.first_harder), percent(a.first_lighter),
               percent(a.first_on_target), percent(a.first_none), number(a.trees_mean, 1),
               number(a.trees_p95, 0), number(b.trees_mean, 1), number(c.trees_mean, 1)});
    const double shares[] = {a.first_harder, a.first_lighter, a.first_on_target};
    const double counted[] = {a.trees_mean, b.trees_mean, c.trees_mean};
    if (off > 100) continue;
    for (std::size_t i = 0; i < 3; ++i) {
      chances.lines[i].x.push_back(off);
      chances.lines[i].y.push_back(shares[i]);
      trees.lines[i].x.push_back(off);
      trees.lines[i].y.push_back(counted[i]);
    }
  }
  return {{"verdict_curve.md",
           "# The verdict along the true mean\n\nSpread 25 %, known from 12 trees; first verdict "
           "of the day.\n\n![chances](verdict_chances.svg)\n\n![trees](verdict_trees.svg)\n\n" +
               table.markdown()},
          {"verdict_chances.svg", chances.svg()},
          {"verdict_trees.svg", trees.svg()}};
}

std::vector<Page> uncertain_pages(const Effort& effort) {
  Table table{{"target known to", "counting known to", "told to change at +½ t", "right at +1½ t",
               "still open after 300", "trees", "bound", "bound, same uncertainty"}, {}};
  struct Case {
    double target, bias;
    int check_every;
  };
  for (const Case& c : {Case{0, 0, 0}, Case{0.03, 0, 0}, Case{0.0456, 0, 0}, Case{0.0912, 0, 0},
                        Case{0, 0.03, 0}, Case{0, 0.08, 0}, Case{0, 0.08, 3},
                        Case{0.0456, 0.03, 0}}) {
    const Known known;
    Ours ours(known, {.target_log_sd = c.target, .bias_log_mean = 0, .bias_log_sd = c.bias,
                      .spread_df = 12, .check_every = c.check_every});
    // What is known in part is off by a new draw a day, as the belief says.
    const auto at = [&](double ratio, bool stop, std::uint64_t seed) {
      Rates sum;
      base::Random random(seed);
      const int days = effort.days / 2;
      double told = 0, right = 0, open = 0, trees = 0;
      for (int day = 0; day < days; ++day) {
        const double target_off = std::exp(c.target * random.normal());
        Truth truth{.ratio = ratio * target_off};
        truth.counter_ratio = std::exp(-c.bias * random.normal());
        truth.counter_sd = c.check_every ? 0.08 : 0;
        const Rates one = simulate_days(ours, truth, {1, stop ? 300 : 100, stop}, random.next());
        told += one.told_change();
        right += one.first_harder;
        open += one.first_none;
        trees += one.trees_mean;
      }
      sum.told_harder = told / days;
      sum.first_harder = right / days;
      sum.first_none = open / days;
      sum.trees_mean = trees / days;
      return sum;
    };
    const Rates up = at(half_up, false, effort.seed + 31), far = at(far_up, true, effort.seed + 32);
    // Wald's test needs a certain information; what is shared by all counts sets a floor to the
    // variance: 1 / n counts' worth + shared = 1 / information.
    const double bound = wald_bound(known, far_up);
    const double per_count = std::log1p(known.cv * known.cv);
    const double shared = c.target * c.target + (c.check_every ? 0 : c.bias * c.bias);
    const double left = per_count / bound - shared;
    table.add({"±" + percent(1.645 * c.target, 0), "±" + percent(1.645 * c.bias, 0) +
                   (c.check_every ? ", every third tree re-counted" : ""),
               percent(up.told_harder), percent(far.first_harder), percent(far.first_none),
               number(far.trees_mean, 1), number(bound, 1),
               c.check_every ? "" : left > 0 ? number(per_count / left, 1) : "never"});
  }
  return {{"uncertain_target.md",
           "# When the target, or the counting, is known only in part\n\nIntervals are 90 %. Each "
           "day the true target and the counter's ratio are drawn anew from what is believed of "
           "them. Where the bound under the same uncertainty says never, no number of trees can "
           "tell one and a half tolerances from a half at these error rates; the app then says "
           "what to do instead: cut more buds, or re-count.\n\n" + table.markdown()}};
}

}  // namespace nthtree::oc
