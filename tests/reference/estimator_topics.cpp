// SPDX-License-Identifier: Apache-2.0
// Ratio, regression and double sampling estimators; gauge studies.
#include <cmath>
#include <cstdio>

#include "reference/published_values.h"
#include "stats/double_sampling.h"
#include "stats/limits_of_agreement.h"
#include "stats/mean_interval.h"
#include "stats/ratio_estimator.h"
#include "stats/summary.h"
#include "stats/variance_components.h"

namespace nthtree::reference {
namespace {

using namespace nthtree::stats;

void cities(PublishedValues& published) {
  const auto& x = published.sample("x1920");
  const auto& y = published.sample("y1930");
  const EstimatorOptions options{.population = 196};
  const auto ratio = ratio_estimate(y, x, 22919.0 / 196, options);
  if (!ratio) return published.problem(ratio.error().text());
  published.compare("ratio", ratio->slope);
  for (const std::string more : {"", "_more"}) {
    published.compare("total" + more, ratio->total);
    published.compare("total_se" + more, ratio->total_standard_error);
  }
  const auto regression = regression_estimate(y, x, 22919.0 / 196, options);
  published.compare("b", regression->slope);
  published.compare("regression", regression->total);
  published.compare("regression_se", regression->total_standard_error);
  const auto plain = mean_interval(y, MeanMethod::student_t, 0.95, 196);
  published.compare("plain", 196 * plain->mean);
  published.compare("plain_se", 196 * plain->standard_error);
}

void dead_trees(PublishedValues& published) {
  const auto& x = published.sample("photo");
  const auto& y = published.sample("field");
  EstimatorOptions options{.population = 100, .divisor = ResidualDivisor::n_minus_1};
  const auto lohr = regression_estimate(y, x, 11.3, options);
  if (!lohr) return published.problem(lohr.error().text());
  published.compare("b0", lohr->intercept);
  published.compare("b1", lohr->slope);
  published.compare("regression", lohr->mean);
  published.compare("se_n1", lohr->standard_error);
  published.compare("se_n1_more", lohr->standard_error);
  published.compare("r", lohr->correlation);
  options.divisor = ResidualDivisor::n_minus_2;
  published.compare("se_n2", regression_estimate(y, x, 11.3, options)->standard_error);
  const auto plain = mean_interval(y, MeanMethod::student_t, 0.95, 100);
  published.compare("plain", plain->mean);
  published.compare("plain_se", plain->standard_error);
  const auto ratio = ratio_estimate(y, x, 11.3, options);
  published.compare("ratio", ratio->mean);
  published.compare("ratio_se", ratio->standard_error);
}

void double_sampling(PublishedValues& published) {
  PublishedValues trees("lohr_dead_trees.json");
  const auto mean = two_phase_regression(trees.sample("field"), trees.sample("photo"),
                                         FirstPhase{100, 11.3});
  if (!mean) return published.problem(mean.error().text());
  published.compare("mean", mean->mean);
  published.compare("v", mean->standard_error * mean->standard_error);
  published.compare("se", mean->standard_error);
  for (const auto& id : published.ids()) {
    double rho = 0;
    if (std::sscanf(id.c_str(), "pays %lf", &rho) == 1) {
      published.compare(id, *two_phase_cost_threshold(rho));
    }
  }
}

void gauge(PublishedValues& published) {
  std::vector<GaugeReading> readings;
  const auto& values = published.sample("readings_by_appraiser_trial_part");
  for (std::size_t i = 0; i < values.size(); ++i) readings.push_back({i % 10, i / 30, values[i]});
  const auto kept = gauge_study(readings, Interaction::keep);
  const auto pooled = gauge_study(readings, Interaction::by_p_value);
  const auto sheet = average_and_range(readings);
  if (!kept || !pooled || !sheet) return published.problem("the study does not run");
  published.compare("part_ss", kept->part.sum_of_squares);
  published.compare("operator_ss", kept->operator_line.sum_of_squares);
  published.compare("interaction_ss", kept->interaction.sum_of_squares);
  published.compare("residual_ss", kept->residual.sum_of_squares);
  published.compare("part_f", kept->part.f);
  published.compare("operator_f", kept->operator_line.f);
  published.compare("interaction_f", kept->interaction.f);
  published.compare("interaction_p", kept->interaction.p_value);
  published.compare("kept_repeatability", kept->repeatability);
  published.compare("kept_interaction", kept->interaction_variance);
  published.compare("kept_operator", kept->operator_variance);
  published.compare("kept_part", kept->part_variance);
  published.compare("repeatability", pooled->repeatability);
  published.compare("operator", pooled->operator_variance);
  published.compare("gauge", pooled->gauge);
  published.compare("part", pooled->part_variance);
  published.compare("total", pooled->total);
  published.compare("contribution", pooled->percent_contribution);
  published.compare("study", pooled->percent_study);
  published.compare("categories", pooled->categories);
  published.compare("ev", sheet->equipment);
  published.compare("av", sheet->appraiser);
  published.compare("grr", sheet->gauge);
  published.compare("pv", sheet->part);
  published.compare("tv", sheet->total);
  published.compare("grr_percent", sheet->percent_study);
  published.compare("ndc", std::floor(sheet->categories));
  published.compare("rbar", sheet->mean_range);
  published.compare("xdiff", sheet->operator_difference);
  published.compare("rp", sheet->part_range);
}

void repeatability(PublishedValues& published) {
  const double ss = exact_sum(published.sample("ss"));
  published.compare("ss", ss);
  published.compare("sd", std::sqrt(ss / 300));
}

void flow_meters(PublishedValues& published) {
  const auto limits =
      limits_of_agreement(published.sample("large_meter"), published.sample("mini_meter"), 2);
  if (!limits) return published.problem(limits.error().text());
  published.compare("mean", limits->mean);
  published.compare("sd", limits->sd);
  published.compare("low", limits->low);
  published.compare("high", limits->high);
  published.compare("mean_low", limits->mean_interval.low);
  published.compare("mean_high", limits->mean_interval.high);
  published.compare("low_low", limits->low_interval.low);
  published.compare("low_high", limits->low_interval.high);
  published.compare("high_low", limits->high_interval.low);
  published.compare("high_high", limits->high_interval.high);
}

}  // namespace

std::vector<NamedTopic> estimator_topics() {
  return {{"bland_altman_flow.json", flow_meters},
          {"cochran_cities.json", cities},
          {"lohr_dead_trees.json", dead_trees},
          {"cochran_double_sampling.json", double_sampling},
          {"aiag_gauge.json", gauge},
          {"handbook_repeatability.json", repeatability}};
}

}  // namespace nthtree::reference
