// SPDX-License-Identifier: Apache-2.0
// Prints how often each interval held the truth: coverage [runs] [seed].
// Exit code 1 when a claimed row is further than one point from nominal.
#include <cmath>
#include <cstdio>

#include "base/arguments.h"
#include "simulation/coverage_designs.h"

namespace {

int refused(const nthtree::base::Error& error) {
  std::fprintf(stderr, "coverage [runs] [seed]: %s\n", error.text().c_str());
  return 2;
}

}  // namespace

int main(int argc, char** argv) {
  using namespace nthtree::simulation;
  const auto arguments = nthtree::base::read_arguments({argv + 1, argv + argc}, {}, 0, 2);
  if (!arguments) return refused(arguments.error());
  const auto wanted = arguments->whole(0, 100, 100000000, 20000, "runs");
  const auto seeded = arguments->whole(1, 0, 1LL << 53, 1918, "seed");
  if (!wanted) return refused(wanted.error());
  if (!seeded) return refused(seeded.error());
  const int runs = static_cast<int>(*wanted);
  const auto seed = static_cast<std::uint64_t>(*seeded);
  std::printf("%d runs a row, seed %llu, one standard error is %.2f points at 95 %%; %d times as "
              "many for a proportion\n\n", runs, static_cast<unsigned long long>(seed),
              100 * 0.2179 / std::sqrt(runs), proportion_runs);
  std::printf("  %-28s %-44s %3s %8s %9s %7s %7s %7s\n", "method", "design", "n", "nominal",
              "achieved", "below", "above", "width");
  int claimed = 0, kept = 0;
  for (const CoverageRow& row : measure_coverage(runs, seed)) {
    const bool good = row.within(1);
    claimed += row.claimed ? 1 : 0;
    kept += row.claimed && good ? 1 : 0;
    std::printf("%s %-28s %-44s %3d %8.1f %9.2f %7.2f %7.2f %7.3f\n",
                row.claimed ? (good ? "=" : "X") : " ", row.method.c_str(), row.design.c_str(),
                row.n, 100 * row.nominal, 100 * row.achieved, 100 * row.missed_low,
                100 * row.missed_high, row.width);
  }
  std::printf("\n%d of %d claimed rows (=) within one point of nominal\n", kept, claimed);
  return kept == claimed ? 0 : 1;
}
