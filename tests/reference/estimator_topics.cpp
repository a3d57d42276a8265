// SPDX-License-Identifier: Apache-2.0
// Ratio, regression and double sampling estimators; gauge studies.
#include <cmath>
#include <cstdio>

#include "reference/book.h"
#include "stats/double_sampling.h"
#include "stats/limits_of_agreement.h"
#include "stats/mean_interval.h"
#include "stats/ratio_estimator.h"
#include "stats/summary.h"
#include "stats/variance_components.h"

namespace nthtree::reference {
namespace {

using namespace nthtree::stats;

void cities(Book& book) {
  const auto& x = book.sample("x1920");
  const auto& y = book.sample("y1930");
  const EstimatorOptions options{.population = 196};
  const auto ratio = ratio_estimate(y, x, 22919.0 / 196, options);
  if (!ratio) return book.problem(ratio.error().text());
  book.compare("ratio", ratio->slope);
  for (const std::string more : {"", "_more"}) {
    book.compare("total" + more, ratio->total);
    book.compare("total_se" + more, ratio->total_standard_error);
  }
  const auto regression = regression_estimate(y, x, 22919.0 / 196, options);
  book.compare("b", regression->slope);
  book.compare("regression", regression->total);
  book.compare("regression_se", regression->total_standard_error);
  const auto plain = mean_interval(y, MeanMethod::student_t, 0.95, 196);
  book.compare("plain", 196 * plain->mean);
  book.compare("plain_se", 196 * plain->standard_error);
}

void dead_trees(Book& book) {
  const auto& x = book.sample("photo");
  const auto& y = book.sample("field");
  EstimatorOptions options{.population = 100, .divisor = ResidualDivisor::n_minus_1};
  const auto lohr = regression_estimate(y, x, 11.3, options);
  if (!lohr) return book.problem(lohr.error().text());
  book.compare("b0", lohr->intercept);
  book.compare("b1", lohr->slope);
  book.compare("regression", lohr->mean);
  book.compare("se_n1", lohr->standard_error);
  book.compare("se_n1_more", lohr->standard_error);
  book.compare("r", lohr->correlation);
  options.divisor = ResidualDivisor::n_minus_2;
  book.compare("se_n2", regression_estimate(y, x, 11.3, options)->standard_error);
  const auto plain = mean_interval(y, MeanMethod::student_t, 0.95, 100);
  book.compare("plain", plain->mean);
  book.compare("plain_se", plain->standard_error);
  const auto ratio = ratio_estimate(y, x, 11.3, options);
  book.compare("ratio", ratio->mean);
  book.compare("ratio_se", ratio->standard_error);
}

void double_sampling(Book& book) {
  Book trees("lohr_dead_trees.json");
  const auto mean = two_phase_regression(trees.sample("field"), trees.sample("photo"),
                                         FirstPhase{100, 11.3});
  if (!mean) return book.problem(mean.error().text());
  book.compare("mean", mean->mean);
  book.compare("v", mean->standard_error * mean->standard_error);
  book.compare("se", mean->standard_error);
  for (const auto& id : book.ids()) {
    double rho = 0;
    if (std::sscanf(id.c_str(), "pays %lf", &rho) == 1) {
      book.compare(id, *two_phase_cost_threshold(rho));
    }
  }
}

void gauge(Book& book) {
  std::vector<GaugeReading> readings;
  const auto& values = book.sample("readings_by_appraiser_trial_part");
  for (std::size_t i = 0; i < values.size(); ++i) readings.push_back({i % 10, i / 30, values[i]});
  const auto kept = gauge_study(readings, Interaction::keep);
  const auto pooled = gauge_study(readings, Interaction::by_p_value);
  const auto sheet = average_and_range(readings);
  if (!kept || !pooled || !sheet) return book.problem("the study does not run");
  book.compare("part_ss", kept->part.sum_of_squares);
  book.compare("operator_ss", kept->operator_line.sum_of_squares);
  book.compare("interaction_ss", kept->interaction.sum_of_squares);
  book.compare("residual_ss", kept->residual.sum_of_squares);
  book.compare("part_f", kept->part.f);
  book.compare("operator_f", kept->operator_line.f);
  book.compare("interaction_f", kept->interaction.f);
  book.compare("interaction_p", kept->interaction.p_value);
  book.compare("kept_repeatability", kept->repeatability);
  book.compare("kept_interaction", kept->interaction_variance);
  book.compare("kept_operator", kept->operator_variance);
  book.compare("kept_part", kept->part_variance);
  book.compare("repeatability", pooled->repeatability);
  book.compare("operator", pooled->operator_variance);
  book.compare("gauge", pooled->gauge);
  book.compare("part", pooled->part_variance);
  book.compare("total", pooled->total);
  book.compare("contribution", pooled->percent_contribution);
  book.compare("study", pooled->percent_study);
  book.compare("categories", pooled->categories);
  book.compare("ev", sheet->equipment);
  book.compare("av", sheet->appraiser);
  book.compare("grr", sheet->gauge);
  book.compare("pv", sheet->part);
  book.compare("tv", sheet->total);
  book.compare("grr_percent", sheet->percent_study);
  book.compare("ndc", std::floor(sheet->categories));
  book.compare("rbar", sheet->mean_range);
  book.compare("xdiff", sheet->operator_difference);
  book.compare("rp", sheet->part_range);
}

void repeatability(Book& book) {
  const double ss = exact_sum(book.sample("ss"));
  book.compare("ss", ss);
  book.compare("sd", std::sqrt(ss / 300));
}

void flow_meters(Book& book) {
  const auto limits =
      limits_of_agreement(book.sample("large_meter"), book.sample("mini_meter"), 2);
  if (!limits) return book.problem(limits.error().text());
  book.compare("mean", limits->mean);
  book.compare("sd", limits->sd);
  book.compare("low", limits->low);
  book.compare("high", limits->high);
  book.compare("mean_low", limits->mean_interval.low);
  book.compare("mean_high", limits->mean_interval.high);
  book.compare("low_low", limits->low_interval.low);
  book.compare("low_high", limits->low_interval.high);
  book.compare("high_low", limits->high_interval.low);
  book.compare("high_high", limits->high_interval.high);
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
