// SPDX-License-Identifier: Apache-2.0
#include "stats/variance_components.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>

#include "stats/quantiles.h"
#include "stats/range_constants.h"
#include "stats/summary.h"

namespace nthtree::stats {
namespace {

void test(AnovaLine& line, const AnovaLine& denominator) {
  line.mean_square = line.df > 0 ? line.sum_of_squares / line.df : 0;
  if (denominator.mean_square > 0 && line.df > 0) {
    line.f = line.mean_square / denominator.mean_square;
    line.p_value = f_upper(line.f, line.df, denominator.df);
  } else {
    line.f = line.mean_square > 0 ? infinity : 0;
    line.p_value = line.mean_square > 0 ? 0 : 1;
  }
}

// Readings by part and operator, each cell with its trials; offsets from the first reading.
struct Crossed {
  std::vector<std::vector<std::vector<double>>> cell;  // [part][operator][trial]
  double origin = 0;
  std::size_t parts() const { return cell.size(); }
  std::size_t operators() const { return cell[0].size(); }
  std::size_t trials() const { return cell[0][0].size(); }
};

Result<Crossed> cross(std::span<const GaugeReading> readings) {
  std::map<std::size_t, std::size_t> parts, operators;
  for (std::size_t i = 0; i < readings.size(); ++i) {
    if (!std::isfinite(readings[i].value)) return not_finite("readings.value", i);
    if (std::fabs(readings[i].value) > value_size_max) {
      return out_of_range("readings.value", readings[i].value, "a size of at most 1e90");
    }
    parts[readings[i].part] = 0;
    operators[readings[i].operator_id] = 0;
  }
  if (parts.size() < 2) return too_few("readings.part", parts.size(), 2);
  if (operators.size() < 2) return too_few("readings.operator_id", operators.size(), 2);
  std::size_t next = 0;
  for (auto& [label, place] : parts) place = next++;
  next = 0;
  for (auto& [label, place] : operators) place = next++;
  Crossed crossed;
  crossed.origin = readings[0].value;
  crossed.cell.assign(parts.size(), std::vector<std::vector<double>>(operators.size()));
  for (const auto& reading : readings) {
    crossed.cell[parts[reading.part]][operators[reading.operator_id]].push_back(
        reading.value - crossed.origin);
  }
  const std::size_t trials = crossed.trials();
  if (trials < 2) return too_few("readings", trials, 2);
  for (const auto& row : crossed.cell) {
    for (const auto& cell : row) {
      if (cell.size() != trials) {
        return Error{"unbalanced", "Every operator must read every part equally often.",
                     "readings"};
      }
    }
  }
  return crossed;
}

double mean_of(std::span<const double> values) {
  return exact_sum(values) / static_cast<double>(values.size());
}

struct CrossedMeans {
  std::vector<double> part;
  std::vector<double> operator_mean;
  std::vector<std::vector<double>> cell;
  double grand = 0;
};

CrossedMeans means_of(const Crossed& crossed) {
  CrossedMeans means;
  means.cell.assign(crossed.parts(), std::vector<double>(crossed.operators()));
  for (std::size_t i = 0; i < crossed.parts(); ++i) {
    for (std::size_t j = 0; j < crossed.operators(); ++j) {
      means.cell[i][j] = mean_of(crossed.cell[i][j]);
    }
    means.part.push_back(mean_of(means.cell[i]));
  }
  for (std::size_t j = 0; j < crossed.operators(); ++j) {
    std::vector<double> column;
    for (std::size_t i = 0; i < crossed.parts(); ++i) column.push_back(means.cell[i][j]);
    means.operator_mean.push_back(mean_of(column));
  }
  means.grand = mean_of(means.part);
  return means;
}

double square(double x) { return x * x; }

void fill_sums(const Crossed& crossed, const CrossedMeans& means, GaugeStudy& study) {
  const double p = static_cast<double>(study.parts);
  const double o = static_cast<double>(study.operators);
  const double r = static_cast<double>(study.trials);
  for (double mean : means.part) {
    study.part.sum_of_squares += o * r * square(mean - means.grand);
  }
  for (double mean : means.operator_mean) {
    study.operator_line.sum_of_squares += p * r * square(mean - means.grand);
  }
  for (std::size_t i = 0; i < study.parts; ++i) {
    for (std::size_t j = 0; j < study.operators; ++j) {
      study.interaction.sum_of_squares +=
          r * square(means.cell[i][j] - means.part[i] - means.operator_mean[j] + means.grand);
      for (double value : crossed.cell[i][j]) {
        study.residual.sum_of_squares += square(value - means.cell[i][j]);
      }
    }
  }
  study.part.df = p - 1;
  study.operator_line.df = o - 1;
  study.interaction.df = (p - 1) * (o - 1);
  study.residual.df = p * o * (r - 1);
  study.residual.mean_square = study.residual.sum_of_squares / study.residual.df;
}

double not_below_zero(double variance, GaugeStudy& study) {
  if (variance >= 0) return variance;
  study.negative_set_to_zero = true;
  return 0;
}

void fill_components(GaugeStudy& study) {
  const double p = static_cast<double>(study.parts);
  const double o = static_cast<double>(study.operators);
  const double r = static_cast<double>(study.trials);
  const AnovaLine& denominator = study.pooled ? study.residual : study.interaction;
  study.repeatability = study.residual.mean_square;
  if (!study.pooled) {
    study.interaction_variance = not_below_zero(
        (study.interaction.mean_square - study.residual.mean_square) / r, study);
  }
  study.operator_variance = not_below_zero(
      (study.operator_line.mean_square - denominator.mean_square) / (p * r), study);
  study.part_variance =
      not_below_zero((study.part.mean_square - denominator.mean_square) / (o * r), study);
  study.reproducibility = study.operator_variance + study.interaction_variance;
  study.gauge = study.repeatability + study.reproducibility;
  study.total = study.gauge + study.part_variance;
  if (study.total > 0) {
    study.percent_contribution = 100 * study.gauge / study.total;
    study.percent_study = 100 * std::sqrt(study.gauge / study.total);
  }
  study.categories = study.gauge > 0
                         ? std::numbers::sqrt2 * std::sqrt(study.part_variance / study.gauge)
                         : infinity;
}

double range_of(const std::vector<double>& values) {
  const auto ends = std::minmax_element(values.begin(), values.end());
  return *ends.second - *ends.first;
}

// 1 / d2*, where d2*² = d2² + d3² for a single range (Duncan 1955, from memory).
double single_range_factor(std::size_t n) {
  return 1 / std::hypot(range_d2(n), range_d3(n));
}

}  // namespace

Result<OneWay> one_way(std::span<const double> values, std::span<const std::size_t> group) {
  if (auto error = check_values(values, "values", 3)) return *error;
  if (group.size() != values.size()) {
    return out_of_range("group", static_cast<double>(group.size()), "as many as values");
  }
  std::map<std::size_t, std::vector<double>> groups;
  for (std::size_t i = 0; i < values.size(); ++i) {
    groups[group[i]].push_back(values[i] - values[0]);
  }
  if (groups.size() < 2) return too_few("group", groups.size(), 2);
  if (groups.size() == values.size()) return too_few("values", values.size(), groups.size() + 1);
  const double n = static_cast<double>(values.size());
  double grand = 0;
  for (const auto& [label, own] : groups) grand += exact_sum(own) / n;
  OneWay result;
  double size_squares = 0;
  for (const auto& [label, own] : groups) {
    const double size = static_cast<double>(own.size());
    const double mean = mean_of(own);
    result.between.sum_of_squares += size * square(mean - grand);
    size_squares += size * size;
    for (double value : own) result.within.sum_of_squares += square(value - mean);
  }
  result.between.df = static_cast<double>(groups.size() - 1);
  result.within.df = n - static_cast<double>(groups.size());
  result.within.mean_square = result.within.sum_of_squares / result.within.df;
  test(result.between, result.within);
  result.residual_sd = std::sqrt(result.within.mean_square);
  const double all = result.between.sum_of_squares + result.within.sum_of_squares;
  result.r_squared = all > 0 ? result.between.sum_of_squares / all : 0;
  const double size_average = (n - size_squares / n) / result.between.df;
  result.between_variance = std::max(
      0.0, (result.between.mean_square - result.within.mean_square) / size_average);
  const double both = result.between_variance + result.within.mean_square;
  result.intraclass_correlation = both > 0 ? result.between_variance / both : 0;
  return result;
}

Result<GaugeStudy> gauge_study(std::span<const GaugeReading> readings, Interaction interaction) {
  auto crossed = cross(readings);
  if (!crossed) return crossed.error();
  GaugeStudy study;
  study.parts = crossed->parts();
  study.operators = crossed->operators();
  study.trials = crossed->trials();
  const CrossedMeans means = means_of(*crossed);
  for (double mean : means.operator_mean) study.operator_means.push_back(mean + crossed->origin);
  fill_sums(*crossed, means, study);
  test(study.interaction, study.residual);
  study.pooled = interaction == Interaction::pool ||
                 (interaction == Interaction::by_p_value && study.interaction.p_value > 0.25);
  if (study.pooled) {
    study.residual.sum_of_squares += study.interaction.sum_of_squares;
    study.residual.df += study.interaction.df;
    study.residual.mean_square = study.residual.sum_of_squares / study.residual.df;
  }
  const AnovaLine& denominator = study.pooled ? study.residual : study.interaction;
  test(study.part, denominator);
  test(study.operator_line, denominator);
  fill_components(study);
  return study;
}

Result<AverageAndRange> average_and_range(std::span<const GaugeReading> readings) {
  auto crossed = cross(readings);
  if (!crossed) return crossed.error();
  const CrossedMeans means = means_of(*crossed);
  const double p = static_cast<double>(crossed->parts());
  const double o = static_cast<double>(crossed->operators());
  const double r = static_cast<double>(crossed->trials());
  AverageAndRange sheet;
  for (const auto& row : crossed->cell) {
    for (const auto& cell : row) sheet.mean_range += range_of(cell) / (p * o);
  }
  sheet.operator_difference = range_of(means.operator_mean);
  sheet.part_range = range_of(means.part);
  sheet.equipment = sheet.mean_range / range_d2(crossed->trials());
  const double between = square(sheet.operator_difference *
                                single_range_factor(crossed->operators())) -
                         square(sheet.equipment) / (p * r);
  sheet.appraiser = std::sqrt(std::max(0.0, between));
  sheet.gauge = std::hypot(sheet.equipment, sheet.appraiser);
  sheet.part = sheet.part_range * single_range_factor(crossed->parts());
  sheet.total = std::hypot(sheet.gauge, sheet.part);
  sheet.percent_study = sheet.total > 0 ? 100 * sheet.gauge / sheet.total : 0;
  sheet.categories = sheet.gauge > 0 ? 1.41 * sheet.part / sheet.gauge : infinity;
  return sheet;
}

}  // namespace nthtree::stats
