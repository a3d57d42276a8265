// SPDX-License-Identifier: Apache-2.0
// NIST StRD univariate and analysis of variance sets, means, systematic samples.
#include <cmath>

#include "reference/published_values.h"
#include "stats/mean_interval.h"
#include "stats/quantiles.h"
#include "stats/summary.h"
#include "stats/systematic.h"
#include "stats/variance_components.h"

namespace nthtree::reference {
namespace {

using namespace nthtree::stats;

void nist_univariate(PublishedValues& published) {
  const auto compare = [&](const std::string& set, const std::vector<double>& values) {
    const auto summary = summarize(values);
    if (!summary) return published.problem(summary.error().text());
    published.compare(set + ".mean", summary->mean);
    published.compare(set + ".standard", summary->sd);
    published.compare(set + ".lag", summary->lag1_autocorrelation);
  };
  for (const char* set : {"lew", "lottery", "mavro", "michelso", "numacc1", "pidigits"}) {
    compare(set, published.sample(set));
  }
  // By the rule of the published sets; written as literals so that each is rounded once.
  const double made[3][3] = {{1.2, 1.1, 1.3},
                             {1000000.2, 1000000.1, 1000000.3},
                             {10000000.2, 10000000.1, 10000000.3}};
  const char* names[3] = {"numacc2", "numacc3", "numacc4"};
  for (int set = 0; set < 3; ++set) {
    std::vector<double> values = {made[set][0]};
    for (int i = 0; i < 500; ++i) {
      values.push_back(made[set][1]);
      values.push_back(made[set][2]);
    }
    compare(names[set], values);
  }
}

void nist_anova(PublishedValues& published) {
  const auto compare = [&](const std::string& set, const std::vector<double>& values,
                           const std::vector<std::size_t>& group) {
    const auto table = one_way(values, group);
    if (!table) return published.problem(table.error().text());
    published.compare(set + ".between", table->between.sum_of_squares);
    published.compare(set + ".within", table->within.sum_of_squares);
    published.compare(set + ".f", table->between.f);
    published.compare(set + ".r", table->r_squared);
    published.compare(set + ".sd", table->residual_sd);
  };
  for (const std::string set : {"SiRstv", "AtmWtAg"}) {
    std::vector<std::size_t> group;
    for (double label : published.sample(set + "_group")) {
      group.push_back(static_cast<std::size_t>(label));
    }
    compare(set, published.sample(set), group);
  }
  const double offsets[3] = {1, 1e6, 1e12};
  const int sizes[3] = {21, 201, 2001};
  for (int set = 0; set < 9; ++set) {
    std::vector<double> values;
    std::vector<std::size_t> group;
    for (std::size_t treatment = 0; treatment < 9; ++treatment) {
      const int tenths = treatment == 0 ? 4 : treatment % 2 == 1 ? 3 : 5;
      for (int i = 0; i < sizes[set % 3]; ++i) {
        const int step = i == 0 ? 0 : i % 2 == 1 ? -1 : 1;
        // (10 offset + tenths) / 10 is the double nearest to the printed decimal.
        values.push_back((10 * offsets[set / 3] + tenths + step) / 10);
        group.push_back(treatment);
      }
    }
    compare("SmLs0" + std::to_string(set + 1), values, group);
  }
}

void handbook_mean(PublishedValues& published) {
  const auto interval = mean_interval_from_summary(9.261460, 0.02278881, 195);
  published.compare("low", interval->low);
  published.compare("high", interval->high);
}

void t_table(PublishedValues& published) {
  for (const auto& id : published.ids()) {
    double p = 0, df = 0;
    if (std::sscanf(id.c_str(), "t %lf %lf", &p, &df) == 2)
      published.compare(id, t_quantile(p, df));
  }
}

void batchelor_reed(PublishedValues& published) {
  const auto& trees = published.sample("yield_by_column");
  const auto summary = summarize(trees);
  if (!summary) return published.problem(summary.error().text());
  published.compare("mean", summary->mean);
  published.compare("sd", summary->sd);
  published.compare("cv", 100 * summary->cv);
  published.compare("sum", summary->sum);
  for (std::size_t stride : {4, 7, 8, 14, 16, 28}) {
    const auto truth = systematic_over_starts(trees, stride);
    const std::string k = std::to_string(stride);
    published.compare(k + ".v", truth->variance);
    published.compare(k + ".r", truth->variance_random);
    published.compare(k + ".ratio", truth->ratio);
    published.compare(k + ".low", truth->lowest_mean);
    published.compare(k + ".high", truth->highest_mean);
  }
  std::vector<double> sample;
  for (std::size_t i = 0; i < trees.size(); i += 8) sample.push_back(trees[i]);
  const auto estimate = systematic_estimate(sample, 224);
  published.compare("one.mean", estimate->mean);
  published.compare("one.random", estimate->variance_random);
  published.compare("one.successive", estimate->variance_successive);
}

void cochran_trend(PublishedValues& published) {
  const TrendVariances trend = trend_variances(10, 4);
  published.compare("systematic", trend.systematic);
  published.compare("random", trend.random);
  published.compare("stratified", trend.stratified);
  std::vector<double> line;
  for (int i = 1; i <= 40; ++i) line.push_back(i);
  const auto truth = systematic_over_starts(line, 10);
  published.compare("enumerated", truth->variance);
  published.compare("enumerated_random", truth->variance_random);
}

}  // namespace

std::vector<NamedTopic> summary_topics() {
  return {{"nist_univariate.json", nist_univariate},
          {"nist_anova.json", nist_anova},
          {"handbook_mean.json", handbook_mean},
          {"t_table.json", t_table},
          {"batchelor_reed_apples.json", batchelor_reed},
          {"cochran_trend.json", cochran_trend}};
}

}  // namespace nthtree::reference
