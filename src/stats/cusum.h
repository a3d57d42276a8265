// SPDX-License-Identifier: Apache-2.0
//
// The tabular CUSUM: a chart that remembers small steps of a mean, with its run lengths and the
// likely change point.
//
// high_t = max(0, high_{t-1} + x_t - target - k), low_t = max(0, low_{t-1} + target - x_t - k);
// a sum above h signals. For near-normal independent values of known spread; run lengths take
// k, h and shift in units of that standard deviation. Feed a variance-stabilised scale where counts
// are skewed, or use count_cusum_run_length for counts as they are.
// Sources: Page (1954) Biometrika 41:100; Lucas and Crosier (1982) Technometrics 24:199 (head
// start, two-sided run length); Brook and Evans (1972) Biometrika 59:539 (Markov chain); Siegmund,
// Sequential Analysis, 1985; Lucas (1985) Technometrics 27:129 (counts, signal at >= h).
//
//   CusumDesign design{.target = 180, .k = 10, .h = 100};
//   CusumState state = start(design);
//   for (double x : values) if (step(design, state, x).signal != CusumSide::none) …
#pragma once

#include <cstddef>
#include <span>
#include <vector>

#include "stats/interval.h"

namespace nthtree::stats {

struct CusumDesign {
  double target = 0;
  double k = 0.5;          // allowance, half the step that matters, in the data's unit
  double h = 4.77;         // decision interval, in the data's unit
  double head_start = 0;   // 0 … h; h / 2 is the usual fast initial response
};

enum class CusumSide { none, high, low };

struct CusumState {
  double high = 0;
  double low = 0;
  std::size_t n_high = 0;  // values since high last left zero (since the start with a head start)
  std::size_t n_low = 0;
  std::size_t n = 0;       // values seen
  CusumSide signal = CusumSide::none;  // of the last value
  // Values before the run that built the sum up: the change lies after value number
  // n - n_high (n - n_low). Mean estimate since then: target + k + high / n_high, or
  // target - k - low / n_low.
};

CusumState start(const CusumDesign& design);
// Takes one finite value; the state goes on counting after a signal until it is started anew.
CusumState& step(const CusumDesign& design, CusumState& state, double value);
// The mean since the likely change, by the side that signalled (or the larger sum).
double mean_since_change(const CusumDesign& design, const CusumState& state);

struct CusumRun {
  std::vector<double> high;
  std::vector<double> low;
  std::size_t signal_at = 0;     // 1-based number of the first value that signals; 0: none
  CusumSide side = CusumSide::none;
  std::size_t change_after = 0;  // the change lies after this many values (only with a signal)
  double mean_after = 0;         // estimated mean since then
};

// Errors: not_finite, out_of_range (k < 0, h <= 0, head_start outside 0 … h).
Result<CusumRun> run_cusum(const CusumDesign& design, std::span<const double> values);

// Average run length of the one-sided chart, all in standard deviations, by the integral equation
// (Gauss-Legendre, 8 digits or more). k >= 0, 0 < h <= 50, shift towards the watched side positive.
Result<double> cusum_run_length_one_sided(double k, double h, double shift,
                                          double head_start = 0);
// Of the two-sided chart; head_start applies to both sums (Lucas and Crosier's formula).
Result<double> cusum_run_length(double k, double h, double shift, double head_start = 0);
// The h that gives a wanted in-control run length (> 2) for the two-sided (or one-sided) chart.
Result<double> cusum_h_for_run_length(double k, double run_length, bool two_sided = true);

// Brook and Evans' Markov chain with `states` cells of one-sided sums; converges to the above.
Result<double> cusum_run_length_markov(double k, double h, double shift, std::size_t states);
// Siegmund's closed approximation, one-sided; within some per cent.
Result<double> cusum_run_length_siegmund(double k, double h, double shift);

// Chart on whole counts: sum signals at >= h. `up` watches for too many. All of k, h, head_start
// must be whole multiples of `lattice` (for instance 0.25). dispersion_k infinite is Poisson.
struct CountCusum {
  double k = 0;
  double h = 0;
  double head_start = 0;
  double lattice = 1;
  bool up = true;
};
Result<double> count_cusum_run_length(const CountCusum& chart, double mean, double dispersion_k);

}  // namespace nthtree::stats
