// SPDX-License-Identifier: Apache-2.0
// Random cross-checks against scipy and R, frozen by the generate_* scripts beside this file.
#include <cmath>
#include <cstdio>
#include <limits>

#include "reference/book.h"
#include "stats/cluster_proportion.h"
#include "stats/cusum.h"
#include "stats/double_sampling.h"
#include "stats/ewma.h"
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

void quantiles(Book& book) {
  const auto& json = book.raw();
  if (!json.contains("points")) return book.problem("no points");
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
    book.add(row);
  }
}

std::vector<ClusterPart> parts_of(Book& book, const std::string& name) {
  const auto& cluster = book.sample(name + "_cluster");
  const auto& successes = book.sample(name + "_successes");
  const auto& trials = book.sample(name + "_trials");
  std::vector<ClusterPart> parts;
  for (std::size_t i = 0; i < cluster.size(); ++i) {
    parts.push_back({static_cast<std::size_t>(cluster[i]), successes[i], trials[i]});
  }
  return parts;
}

void survey(Book& book) {
  for (const std::string name : {"cluster_1", "cluster_2", "cluster_3", "cluster_4", "cluster_5",
                                 "cluster_6", "api"}) {
    const auto estimate =
        cluster_proportion(parts_of(book, name), 0.95, ClusterIntervalMethod::logit_t);
    if (!estimate) return book.problem(estimate.error().text());
    book.compare(name + ".p", estimate->proportion);
    book.compare(name + ".se", estimate->standard_error);
    book.compare(name + ".low", estimate->interval.low);
    book.compare(name + ".high", estimate->interval.high);
  }
  const auto populations = book.sample("pairs_population");
  for (std::size_t i = 0; i < 4; ++i) {
    const std::string name = "pairs_" + std::to_string(i + 1);
    const auto& x = book.sample(name + "_x");
    // The standard error of the ratio itself: the estimated mean at the sample's own mean of x.
    double x_mean = 0;
    for (double value : x) x_mean += value / static_cast<double>(x.size());
    const auto ratio = ratio_estimate(book.sample(name + "_y"), x, x_mean,
                                      {.population = populations[i]});
    book.compare(name + ".ratio", ratio->slope);
    book.compare(name + ".ratio_se", ratio->standard_error / x_mean);
  }
  const auto& first = book.sample("phase_x_first");
  const auto& y = book.sample("phase_y");
  // Mean and size alone: Cochran's form, as the script has it.
  const FirstPhase phase{first.size(), summarize(first)->mean};
  const auto mean = two_phase_regression(y, std::span(first).first(y.size()), phase);
  book.compare("phase.regression", mean->mean);
  book.compare("phase.regression_se", mean->standard_error);
}

void two_phase(Book& book) {
  for (int i = 1; i <= 5; ++i) {
    const std::string name = "phase_" + std::to_string(i);
    const auto& x_first = book.sample(name + "_x");
    const auto& y = book.sample(name + "_y");
    book.compare(name + ".mean", summarize(y)->mean);
    const auto x = std::span(x_first).first(y.size());
    const auto own = two_phase_regression(y, x, x_first);
    if (!own) return book.problem(own.error().text());
    book.compare(name + ".regression", own->mean);
    if (i == 5) book.compare(name + ".regression_se", own->standard_error);
  }
}

void run_lengths(Book& book) {
  for (const auto& id : book.ids()) {
    char kind[32];
    double a = 0, b = 0, c = 0;
    if (std::sscanf(id.c_str(), "%31s %lf %lf %lf", kind, &a, &b, &c) != 4) {
      book.problem("cannot read " + id);
      continue;
    }
    const std::string what = kind;
    if (what == "cusum_one") book.compare(id, *cusum_run_length_one_sided(a, b, c));
    if (what == "cusum_two") book.compare(id, *cusum_run_length(a, b, c));
    if (what == "cusum_fir") book.compare(id, *cusum_run_length(a, b, c, b / 2));
    if (what == "cusum_h") book.compare(id, *cusum_h_for_run_length(a, b));
    if (what == "ewma") book.compare(id, *ewma_run_length(a, b, c));
    if (what == "ewma_exact") book.compare(id, *ewma_run_length_exact(a, b, c));
    if (what == "ewma_width") book.compare(id, *ewma_width_for_run_length(a, b));
    if (what == "poisson_cusum") {
      // spc signals above h, ours at h: one step of the lattice apart.
      const CountCusum chart{.k = a, .h = b + 1, .lattice = 1, .up = true};
      book.compare(id, *count_cusum_run_length(chart, c,
                                               std::numeric_limits<double>::infinity()));
    }
  }
}

void negative_binomial(Book& book) {
  for (int i = 1; i <= 6; ++i) {
    const std::string name = "counts_" + std::to_string(i);
    const auto fit = fit_negative_binomial(book.sample(name));
    if (!fit) return book.problem(fit.error().text());
    book.compare(name + ".k", fit->k);
    book.compare(name + ".k_se", fit->k_standard_error);
    book.compare(name + ".log_likelihood", fit->log_likelihood);
  }
}

void variance_components(Book& book) {
  for (int i = 1; i <= 4; ++i) {
    const std::string name = "gauge_" + std::to_string(i);
    const auto& part = book.sample(name + "_part");
    const auto& by = book.sample(name + "_operator");
    const auto& value = book.sample(name + "_value");
    std::vector<GaugeReading> readings;
    for (std::size_t j = 0; j < value.size(); ++j) {
      readings.push_back({static_cast<std::size_t>(part[j]), static_cast<std::size_t>(by[j]),
                          value[j]});
    }
    const auto study = gauge_study(readings, Interaction::keep);
    if (!study) return book.problem(study.error().text());
    book.compare(name + ".part_ss", study->part.sum_of_squares);
    book.compare(name + ".operator_ss", study->operator_line.sum_of_squares);
    book.compare(name + ".interaction_ss", study->interaction.sum_of_squares);
    book.compare(name + ".residual_ss", study->residual.sum_of_squares);
    book.compare(name + ".part", study->part_variance);
    book.compare(name + ".operator", study->operator_variance);
    book.compare(name + ".interaction", study->interaction_variance);
    book.compare(name + ".repeatability", study->repeatability);
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
