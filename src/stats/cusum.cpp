// SPDX-License-Identifier: Apache-2.0
#include "stats/cusum.h"

#include <algorithm>
#include <cmath>

namespace nthtree::stats {
namespace {

std::optional<Error> check(const CusumDesign& design) {
  if (!std::isfinite(design.target)) return not_finite("target", 0);
  if (!(design.k >= 0) || std::isinf(design.k)) return out_of_range("k", design.k, "zero or more");
  if (auto error = check_positive(design.h, "h")) return error;
  if (!(design.head_start >= 0 && design.head_start <= design.h)) {
    return out_of_range("head_start", design.head_start, "from 0 to h");
  }
  return std::nullopt;
}

}  // namespace

CusumState start(const CusumDesign& design) {
  CusumState state;
  state.high = design.head_start;
  state.low = design.head_start;
  return state;
}

CusumState& step(const CusumDesign& design, CusumState& state, double value) {
  NTHTREE_ASSERT(std::isfinite(value));
  state.high = std::max(0.0, state.high + (value - design.target - design.k));
  state.low = std::max(0.0, state.low + (design.target - value - design.k));
  state.n_high = state.high > 0 ? state.n_high + 1 : 0;
  state.n_low = state.low > 0 ? state.n_low + 1 : 0;
  ++state.n;
  state.signal = CusumSide::none;
  if (state.high > design.h || state.low > design.h) {
    state.signal = state.high >= state.low ? CusumSide::high : CusumSide::low;
  }
  return state;
}

double mean_since_change(const CusumDesign& design, const CusumState& state) {
  if (state.high >= state.low && state.n_high > 0) {
    return design.target + design.k + state.high / static_cast<double>(state.n_high);
  }
  if (state.n_low > 0) {
    return design.target - design.k - state.low / static_cast<double>(state.n_low);
  }
  return design.target;
}

Result<CusumRun> run_cusum(const CusumDesign& design, std::span<const double> values) {
  if (auto error = check(design)) return *error;
  if (auto error = check_values(values, "values", 0)) return *error;
  CusumRun run;
  CusumState state = start(design);
  for (double value : values) {
    step(design, state, value);
    run.high.push_back(state.high);
    run.low.push_back(state.low);
    if (run.side == CusumSide::none && state.signal != CusumSide::none) {
      run.side = state.signal;
      run.signal_at = state.n;
      run.change_after =
          state.n - (run.side == CusumSide::high ? state.n_high : state.n_low);
      run.mean_after = mean_since_change(design, state);
    }
  }
  return run;
}

}  // namespace nthtree::stats
