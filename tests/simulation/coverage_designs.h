// SPDX-License-Identifier: Apache-2.0
//
// How often intervals hold the truth, by simulation: the designs, and one run of them all.
//
// A row is one method on one design; claimed rows are those the documents promise to be within
// one point of nominal, the others stand beside them for comparison or show where a method ends.
//
//   for (const CoverageRow& row : measure_coverage(20000, 1)) print(row);
#pragma once

#include <cstdint>
#include <string>
#include <vector>

namespace nthtree::simulation {

struct CoverageRow {
  std::string method;
  std::string design;
  int n = 0;                // clusters, pairs or values
  double nominal = 0.95;
  double achieved = 0;
  double missed_low = 0;    // share of runs whose interval lies below the truth
  double missed_high = 0;
  double width = 0;         // mean width, relative to the truth
  int runs = 0;
  bool claimed = false;
  bool within(double points) const;  // of nominal, in percentage points
};

// A proportion is drawn this many times as often as the rest: it is cheap, and its rows at 90 %
// stand closest to the claim.
constexpr int proportion_runs = 8;

std::vector<CoverageRow> measure_coverage(int runs, std::uint64_t seed);

}  // namespace nthtree::simulation
