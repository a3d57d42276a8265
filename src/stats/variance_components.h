// SPDX-License-Identifier: Apache-2.0
//
// Variance components of balanced designs: one-way analysis of variance, and the crossed gauge
// study (every operator measures every part several times: repeatability and reproducibility).
//
// Balanced data only. Components that come out negative are set to 0 and said so. Sums of squares
// are taken about the first value, so the NIST StRD sets with large offsets keep their digits.
// Sources: AIAG, Measurement Systems Analysis (data and constants from memory, confirmed by the
// published sums of squares); Montgomery and Runger (1993) Qual. Eng. 6:115; NIST StRD analysis of
// variance; NIST/SEMATECH e-Handbook 2.4.4.
//
//   std::vector<GaugeReading> readings = {{part, operator_, value}, …};
//   auto study = gauge_study(readings);
//   if (study) show(study->repeatability, study->reproducibility, study->percent_study);
#pragma once

#include <cstddef>
#include <span>
#include <vector>

#include "stats/interval.h"

namespace nthtree::stats {

struct AnovaLine {
  double sum_of_squares = 0;
  double df = 0;
  double mean_square = 0;
  double f = 0;        // against its own denominator; 0 for the residual line
  double p_value = 1;
};

struct OneWay {
  AnovaLine between;
  AnovaLine within;
  double residual_sd = 0;
  double r_squared = 0;
  double between_variance = 0;        // >= 0, by the average group size of unequal groups
  double intraclass_correlation = 0;  // between / (between + within)
};

// values[i] belongs to group[i] (any labels). Two groups or more and more values than groups;
// groups may differ in size.
Result<OneWay> one_way(std::span<const double> values, std::span<const std::size_t> group);

struct GaugeReading {
  std::size_t part = 0;
  std::size_t operator_id = 0;
  double value = 0;
};

enum class Interaction { keep, pool, by_p_value };  // by_p_value pools where p > 0.25

struct GaugeStudy {
  std::size_t parts = 0;
  std::size_t operators = 0;
  std::size_t trials = 0;
  AnovaLine part;
  AnovaLine operator_line;
  AnovaLine interaction;    // as tested before any pooling
  AnovaLine residual;       // repeatability; includes the interaction where pooled
  bool pooled = false;
  bool negative_set_to_zero = false;
  // Variances:
  double repeatability = 0;
  double operator_variance = 0;
  double interaction_variance = 0;
  double reproducibility = 0;   // operator + interaction
  double gauge = 0;             // repeatability + reproducibility
  double part_variance = 0;
  double total = 0;
  double percent_contribution = 0;  // 100 gauge / total
  double percent_study = 0;         // 100 √(gauge / total)
  double categories = 0;            // √2 part sd / gauge sd, not cut; infinite for a perfect gauge
  std::vector<double> operator_means;  // in ascending order of operator_id
};

// Crossed and balanced: 2 parts, 2 operators, 2 trials or more. Error "unbalanced" otherwise.
Result<GaugeStudy> gauge_study(std::span<const GaugeReading> readings,
                               Interaction interaction = Interaction::by_p_value);

// The average-and-range form, as on the printed AIAG sheet. Standard deviations, not variances.
struct AverageAndRange {
  double mean_range = 0;         // over parts and operators
  double operator_difference = 0;  // largest less smallest operator mean
  double part_range = 0;           // of part means
  double equipment = 0;          // EV
  double appraiser = 0;          // AV, 0 where the square would be negative
  double gauge = 0;              // GRR
  double part = 0;               // PV
  double total = 0;              // TV
  double percent_study = 0;
  double categories = 0;         // 1.41 PV / GRR, not cut
};
Result<AverageAndRange> average_and_range(std::span<const GaugeReading> readings);

}  // namespace nthtree::stats
