// SPDX-License-Identifier: Apache-2.0
// Random cross-checks against scipy and R, frozen by the generate_* scripts beside this file.
#include <cmath>
#include <cstdio>
#include <limits>

#include "reference/published_values.h"
#include "stats/cluster_proportion.h"
#include "stats/cusum.h"
#include "stats/double_sampling.h"
#include "stats/negative_binomial.h"
#include "stats/proportion.h"
#include "stats/quantiles.h"
#include "stats/ratio_estimator.h"
#include "stats/summary.h"
#include "stats/variance_components.h"

namespace nthtree::reference {
namespace {

using namespace nthtree::stats;

double proportion_end(const std::string& function, const std::vector<double>& a) {
  ProportionMethod method = ProportionMethod::wilson;
  if (function.find("wilson_continuity") == 0) method = ProportionMethod::wilson_continuity;
  if (function.find("clopper_pearson") == 0) method = ProportionMethod::clopper_pearson;
  const auto interval = proportion_interval(method, a[0], a[1], a[2]);
  return function.find("_low") != std::string::npos ? interval->low : interval->high;
}

double evaluate(const std::string& function, const std::vector<double>& a) {
  const auto count = [&] { return static_cast<std::int64_t>(a[0]); };
  if (function == "t_quantile") return t_quantile(a[0], a[1]);
  if (function == "t_cdf") return t_cdf(a[0], a[1]);
  if (function == "beta_quantile") return beta_quantile(a[0], a[1], a[2]);
  if (function == "beta_cdf") return beta_cdf(a[0], a[1], a[2]);
  if (function == "chi_squared_quantile") return chi_squared_quantile(a[0], a[1]);
  if (function == "chi_squared_upper") return chi_squared_upper(a[0], a[1]);
  if (function == "f_quantile") return f_quantile(a[0], a[1], a[2]);
  if (function == "f_upper") return f_upper(a[0], a[1], a[2]);
  if (function == "normal_quantile") return normal_quantile(a[0]);
  if (function == "noncentral_t_cdf") return noncentral_t_cdf(a[0], a[1], a[2]);
  if (function == "negative_binomial_cdf") return negative_binomial_cdf(count(), a[1], a[2]);
  if (function == "negative_binomial_quantile") {
    return static_cast<double>(negative_binomial_quantile(a[0], a[1], a[2]));
  }
  if (function == "binomial_cdf") {
    return binomial_cdf(count(), static_cast<std::int64_t>(a[1]), a[2]);
  }
  return proportion_end(function, a);
}

void quantiles(PublishedValues& published) {
  const auto& json = published.raw();
  if (!json.contains("points")) return published.problem("no points");
  const double relative = json.value("relative_tolerance", 0.0);
  for (const auto& point : json["points"]) {
    Row row;
    row.id = point[0].get<std::string>();
    row.quantity = row.id + point[1].dump();
    row.published = point[2].get<double>();
    const double allowed = point.size() > 3 ? point[3].get<double>() : relative;
    row.tolerance = allowed * std::fmax(std::fabs(row.published), 1e-3);
    row.status = "recomputed";
    row.ours = evaluate(row.id, point[1].get<std::vector<double>>());
    published.add(row);
  }
}

std::vector<ClusterPart> parts_of(PublishedValues& published, const std::string& name) {
  const auto& cluster = published.sample(name + "_cluster");
  const auto& successes = published.sample(name + "_successes");
  const auto& trials = published.sample(name + "_trials");
  std::vector<ClusterPart> parts;
  for (std::size_t i = 0; i < cluster.size(); ++i) {
    parts.push_back({static_cast<std::size_t>(cluster[i]), successes[i], trials[i]});
  }
  return parts;
}

void survey(PublishedValues& published) {
  for (const std::string name : {"cluster_1", "cluster_2", "cluster_3", "cluster_4", "cluster_5",
                                 "cluster_6", "api"}) {
    const auto estimate =
        cluster_proportion(parts_of(published, name), 0.95, ClusterIntervalMethod::logit_t);
    if (!estimate) return published.problem(estimate.error().text());
    published.compare(name + ".p", estimate->proportion);
    published.compare(name + ".se", estimate->standard_error);
    published.compare(name + ".low", estimate->interval.low);
    published.compare(name + ".high", estimate->interval.high);
  }
  const auto populations = published.sample("pairs_population");
  for (std::size_t i = 0; i < 4; ++i) {
    const std::string name = "pairs_" + std::to_string(i + 1);
    const auto& x = published.sample(name + "_x");
    // The standard error of the ratio itself: the estimated mean at the sample's own mean of x.
    double x_mean = 0;
    for (double value : x) x_mean += value / static_cast<double>(x.size());
    const auto ratio = ratio_estimate(published.sample(name + "_y"), x, x_mean,
                                      {.population = populations[i]});
    published.compare(name + ".ratio", ratio->slope);
    published.compare(name + ".ratio_se", ratio->standard_error / x_mean);
  }
  const auto& first = published.sample("phase_x_first");
  const auto& y = published.sample("phase_y");
  // Mean and size alone: Cochran's form, as the script has it.
  const FirstPhase phase{first.size(), summarize(first)->mean};
  const auto mean = two_phase_regression(y, std::span(first).first(y.size()), phase);
  published.compare("phase.regression", mean->mean);
  published.compare("phase.regression_se", mean->standard_error);
}

void two_phase(PublishedValues& published) {
  for (int i = 1; i <= 5; ++i) {
    const std::string name = "phase_" + std::to_string(i);
    const auto& x_first = published.sample(name + "_x");
    const auto& y = published.sample(name + "_y");
    published.compare(name + ".mean", summarize(y)->mean);
    const auto x = std::span(x_first).first(y.size());
    const auto own = two_phase_regression(y, x, x_first);
    if (!own) return published.problem(own.error().text());
    published.compare(name + ".regression", own->mean);
    if (i == 5) published.compare(name + ".regression_se", own->standard_error);
  }
}

void run_lengths(PublishedValues& published) {
  for (const auto& id : published.ids()) {
    char kind[32];
    double a = 0, b = 0, c = 0;
    if (std::sscanf(id.c_str(), "%31s %lf %lf %lf", kind, &a, &b, &c) != 4) {
      published.problem("cannot read " + id);
      continue;
    }
    const std::string what = kind;
    if (what == "cusum_one") published.compare(id, *cusum_run_length_one_sided(a, b, c));
    if (what == "cusum_two") published.compare(id, *cusum_run_length(a, b, c));
    if (what == "cusum_fir") published.compare(id, *cusum_run_length(a, b, c, b / 2));
    if (what == "cusum_h") published.compare(id, *cusum_h_for_run_length(a, b));
    if (what == "poisson_cusum") {
      // spc signals above h, ours at h: one step of the lattice apart.
      const CountCusum chart{.k = a, .h = b + 1, .lattice = 1, .up = true};
      published.compare(id, *count_cusum_run_length(chart, c,
                                                    std::numeric_limits<double>::infinity()));
    }
  }
}

void negative_binomial(PublishedValues& published) {
  for (int i = 1; i <= 6; ++i) {
    const std::string name = "counts_" + std::to_string(i);
    const auto fit = fit_negative_binomial(published.sample(name));
    if (!fit) return published.problem(fit.error().text());
    published.compare(name + ".k", fit->k);
    published.compare(name + ".k_se", fit->k_standard_error);
    published.compare(name + ".log_likelihood", fit->log_likelihood);
  }
}

void variance_components(PublishedValues& published) {
  for (int i = 1; i <= 4; ++i) {
    const std::string name = "gauge_" + std::to_string(i);
    const auto& part = published.sample(name + "_part");
    const auto& by = published.sample(name + "_operator");
    const auto& value = published.sample(name + "_value");
    std::vector<GaugeReading> readings;
    for (std::size_t j = 0; j < value.size(); ++j) {
      readings.push_back({static_cast<std::size_t>(part[j]), static_cast<std::size_t>(by[j]),
                          value[j]});
    }
    const auto study = gauge_study(readings, Interaction::keep);
    if (!study) return published.problem(study.error().text());
    published.compare(name + ".part_ss", study->part.sum_of_squares);
    published.compare(name + ".operator_ss", study->operator_line.sum_of_squares);
    published.compare(name + ".interaction_ss", study->interaction.sum_of_squares);
    published.compare(name + ".residual_ss", study->residual.sum_of_squares);
    published.compare(name + ".part", study->part_variance);
    published.compare(name + ".operator", study->operator_variance);
    published.compare(name + ".interaction", study->interaction_variance);
    published.compare(name + ".repeatability", study->repeatability);
  }
}

}  // namespace

std::vector<NamedTopic> golden_topics() {
  return {{"golden_quantiles.json", quantiles},
          {"golden_survey.json", survey},
          {"golden_two_phase.json", two_phase},
          {"golden_run_lengths.json", run_lengths},
          {"golden_negative_binomial.json", negative_binomial},
          {"golden_variance_components.json", variance_components}};
}

}  // namespace nthtree::reference
