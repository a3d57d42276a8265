// SPDX-License-Identifier: Apache-2.0
// Equivalence tests and decisions.
#include <cmath>
#include <span>
#include <string>

#include "reference/published_values.h"
#include "stats/assignment.h"
#include "stats/equivalence.h"
#include "stats/value_of_information.h"

namespace nthtree::reference {
namespace {

using namespace nthtree::stats;

void compare_ends(PublishedValues& published, const std::string& name, const Equivalence& test) {
  published.compare(name + ".t_low", test.t_low);
  published.compare(name + ".p_low", test.p_low);
  published.compare(name + ".t_high", test.t_high);
  published.compare(name + ".p_high", test.p_high);
  published.compare(name + ".low", test.interval.low);
  published.compare(name + ".high", test.interval.high);
}

void toster(PublishedValues& published) {
  // Differences from the reference value, so that the bounds lie about zero.
  compare_ends(published, "one",
               *equivalence_one_sample(SampleSummary{0.04, 1.2, 100}, {-0.36, 0.36}));
  compare_ends(published, "raw",
               *equivalence_one_sample(SampleSummary{0.02, 0.5, 300}, {-0.1, 0.1}));
  const auto& a = published.sample("a");
  const auto& b = published.sample("b");
  const auto pooled = equivalence_two_samples(a, b, {-110, 110}, 0.05, true);
  published.compare("pooled.diff", pooled->estimate);
  published.compare("pooled.se", pooled->standard_error);
  published.compare("pooled.df", pooled->df);
  published.compare("pooled.p_low", pooled->p_low);
  published.compare("pooled.p_high", pooled->p_high);
  const auto welch = equivalence_two_samples(a, b, {-110, 110});
  published.compare("welch.se", welch->standard_error);
  published.compare("welch.df", welch->df);
  published.compare("welch.p_low", welch->p_low);
  published.compare("welch.p_high", welch->p_high);
  const auto pooled95 = equivalence_two_samples(a, b, {-110, 110}, 0.025, true);
  published.compare("pooled.ci_low", pooled95->interval.low);
  published.compare("pooled.ci_high", pooled95->interval.high);
  const auto welch95 = equivalence_two_samples(a, b, {-110, 110}, 0.025);
  published.compare("welch.ci_low", welch95->interval.low);
  published.compare("welch.ci_high", welch95->interval.high);
  const auto summaries = equivalence_two_samples(SampleSummary{5.25, 0.95, 95},
                                                 SampleSummary{5.22, 0.83, 89}, {-0.384, 0.384});
  compare_ends(published, "sum", *summaries);
  published.compare("sum.df", summaries->df);
  compare_ends(published, "pair",
               *equivalence_paired(SampleSummary{5.83, 1.17, 65}, SampleSummary{5.75, 1.30, 65},
                                   0.745, {-0.34, 0.34}));
}

void clinic(PublishedValues& published) {
  const Interval bounds{-0.6, 0.6};
  for (const std::string which : {"1", "2"}) {
    const std::vector<double>& all = published.sample("var" + which);
    if (all.size() != 30) return published.problem("30 values wanted");
    const auto a = std::span(all).first(15), b = std::span(all).last(15);
    const auto pair = equivalence_paired(a, b, bounds);
    const std::string name = "pair" + which;
    published.compare(name + ".diff", pair->estimate);
    published.compare(name + ".se", pair->standard_error);
    published.compare(name + ".p", pair->p_value);
    published.compare(name + ".low", pair->interval.low);
    published.compare(name + ".high", pair->interval.high);
    published.compare(name + ".shown", pair->shown ? 1 : 0);
    const auto welch = equivalence_two_samples(a, b, bounds);
    published.compare("welch" + which + ".df", welch->df);
    published.compare("welch" + which + ".p", welch->p_value);
    if (which == "1") {
      published.compare("pooled1.p", equivalence_two_samples(a, b, bounds, 0.05, true)->p_value);
    } else {
      published.compare("welch2.se", welch->standard_error);
      published.compare("welch2.low", welch->interval.low);
      published.compare("welch2.high", welch->interval.high);
    }
  }
}

void band(PublishedValues& published) {
  const auto test = equivalence_one_sample(SampleSummary{171, 28, 12}, {162, 198});
  published.compare("t_low", test->t_low);
  published.compare("p_low", test->p_low);
  published.compare("t_high", test->t_high);
  published.compare("p_high", test->p_high);
  published.compare("low", test->interval.low);
  published.compare("high", test->interval.high);
  published.compare("shown", test->shown ? 1 : 0);
}

void value_of_looking(PublishedValues& published) {
  for (const char* u : {"0", "0.5", "1", "1.5", "2", "2.5", "3"}) {
    published.compare(std::string("L") + u, unit_normal_linear_loss(std::stod(u)));
  }
  published.compare("render.evpi", value_of_perfect_information({8000, 2885, 6000, 6}));
  const LinearDecision decision{95, 10, 100, 20};
  published.compare("evpi", value_of_perfect_information(decision));
  for (const int looks : {1, 4, 9, 16, 25, 100}) {
    published.compare("evsi" + std::to_string(looks), value_of_looks(decision, 30, looks));
  }
  const LooksPlan best = looks_that_pay(decision, 30, 1, 1000);
  published.compare("best.n", best.looks);
  published.compare("best.value", best.value);
  published.compare("best.net", best.net);
  const LinearDecision even{100, 10, 100, 20};
  published.compare("even.evpi", value_of_perfect_information(even));
  published.compare("even.n", looks_that_pay(even, 30, 1, 1000).looks);
  published.compare("even.net", looks_that_pay(even, 30, 1, 1000).net);
}

void assignments(PublishedValues& published) {
  for (const char* name : {"three", "four", "other_four", "five"}) {
    const std::vector<double>& flat = published.sample(name);
    const auto side = static_cast<std::size_t>(std::lround(std::sqrt(flat.size())));
    std::vector<std::vector<double>> costs(side);
    for (std::size_t i = 0; i < flat.size(); ++i) costs[i / side].push_back(flat[i]);
    const auto best = least_cost_assignment(costs);
    if (!best) return published.problem(best.error().text());
    published.compare(name, best->cost);
    double columns = 0;
    for (const std::size_t column : best->column_of_row) columns = 10 * columns + column;
    if (std::string(name) != "other_four")
      published.compare(std::string(name) + ".columns", columns);
  }
}

}  // namespace

std::vector<NamedTopic> decision_topics() {
  return {{"toster_equivalence.json", toster},
          {"clinic_equivalence.json", clinic},
          {"band_equivalence.json", band},
          {"value_of_looking.json", value_of_looking},
          {"assignments.json", assignments}};
}

}  // namespace nthtree::reference
