// SPDX-License-Identifier: Apache-2.0
#include "bound.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include <boost/math/distributions/chi_squared.hpp>
#include <boost/math/special_functions/gamma.hpp>

#include "world.h"

namespace nthtree::oc {
namespace {

constexpr double prior_cv = 0.29, prior_df = 5;  // the app's own (advice/known/evidence.cpp)
constexpr int looks_a_day = 100, counts_most = 300;
constexpr double ends = 9;  // of a path: no line is set as far out

struct Levels {
  double near = 1, far = 1;
};

Levels levels_of(const Known& known, bool up) {
  const double sign = up ? 1 : -1;
  return {1 + sign * known.tolerance / 2, 1 + sign * 1.5 * known.tolerance};
}

// Spreads that are equally likely by what is known.
std::vector<double> spreads_of(const Known& known, std::optional<double> known_df) {
  if (!known_df) return {known.cv * known.cv};
  constexpr int points = 24;
  const double df = prior_df + *known_df;
  const double square =
      (prior_df * prior_cv * prior_cv + *known_df * known.cv * known.cv) / df;
  const boost::math::chi_squared_distribution<double> chi(df);
  std::vector<double> squares;
  for (int i = 0; i < points; ++i) {
    squares.push_back(df * square / boost::math::quantile(chi, (i + 0.5) / points));
  }
  return squares;
}

// ln of the likelihood ratio of far against near after each count, trees of gamma shape.
class Ratio {
 public:
  Ratio(const Levels& levels, const std::vector<double>& spreads) : levels_(levels) {
    for (double square : spreads) {
      const double k = 1 / square;
      shapes_.push_back({k, k * std::log(k) - boost::math::lgamma(k)});
    }
  }
  double add(double share) {
    n_ += 1;
    sum_ += share;
    logs_ += std::log(share);
    return marginal(levels_.far) - marginal(levels_.near);
  }

 private:
  struct ShapeOf {
    double k, norm;
  };
  double marginal(double level) const {
    double most = -1e300, total = 0;
    for (const ShapeOf& shape : shapes_) most = std::max(most, log_likelihood(shape, level));
    for (const ShapeOf& shape : shapes_) total += std::exp(log_likelihood(shape, level) - most);
    return most + std::log(total);
  }
  double log_likelihood(const ShapeOf& shape, double level) const {
    return n_ * (shape.norm - shape.k * std::log(level)) + (shape.k - 1) * logs_ -
           shape.k * sum_ / level;
  }

  Levels levels_;
  std::vector<ShapeOf> shapes_;
  double n_ = 0, sum_ = 0, logs_ = 0;
};

using Path = std::vector<double>;

std::vector<Path> paths_at(double level, const Known& known, const Levels& levels,
                           const std::vector<double>& spreads, int counts, int paths,
                           std::uint64_t seed) {
  std::vector<Path> all(static_cast<std::size_t>(paths));
  base::Random seeds(seed);
  for (Path& path : all) {
    TreeLine trees({.ratio = level, .cv = known.cv, .target = known.target}, seeds.next());
    Ratio ratio(levels, spreads);
    for (int n = 0; n < counts; ++n) {
      path.push_back(ratio.add(std::max(0.5, trees.next().spurs) / known.target));
      if (std::fabs(path.back()) > ends) break;
    }
  }
  return all;
}

double share_that_reach(const std::vector<Path>& paths, double line) {
  const auto reached = std::count_if(paths.begin(), paths.end(), [&](const Path& path) {
    return *std::max_element(path.begin(), path.end()) >= line;
  });
  return static_cast<double>(reached) / static_cast<double>(paths.size());
}

// First past either line: share that reach the upper one first, and counts on average.
BestTest outcome(const std::vector<Path>& paths, double high, double low) {
  BestTest best;
  for (const Path& path : paths) {
    const auto end = std::find_if(path.begin(), path.end(),
                                  [&](double x) { return x >= high || x <= low; });
    best.right += end != path.end() && *end >= high;
    best.trees += static_cast<double>(end - path.begin()) + (end != path.end() ? 1 : 0);
  }
  best.right /= static_cast<double>(paths.size());
  best.trees /= static_cast<double>(paths.size());
  return best;
}

}  // namespace

double bound_for_counts(const Known& known, bool up, double alpha, double beta) {
  const Levels levels = levels_of(known, up);
  const double ratio = levels.far / levels.near, k = 1 / (known.cv * known.cv);
  const double a_count = k * (ratio - 1 - std::log(ratio));  // information, gamma shape
  return ((1 - beta) * std::log((1 - beta) / alpha) + beta * std::log(beta / (1 - alpha))) /
         a_count;
}

BestTest best_test(const Known& known, bool up, std::optional<double> known_df, int paths,
                   std::uint64_t seed) {
  const Levels levels = levels_of(known, up);
  const std::vector<double> spreads = spreads_of(known, known_df);
  const auto at_near =
      paths_at(levels.near, known, levels, spreads, looks_a_day, paths, seed + 1);
  const auto at_far = paths_at(levels.far, known, levels, spreads, counts_most, paths, seed + 2);
  double high = 0, most = ends;
  for (int halving = 0; halving < 30; ++halving) {
    const double middle = (high + most) / 2;
    (share_that_reach(at_near, middle) > known.alpha ? high : most) = middle;
  }
  double low = -ends, least = 0;
  for (int halving = 0; halving < 30; ++halving) {
    const double middle = (low + least) / 2;
    (outcome(at_far, high, middle).right >= 1 - known.beta ? low : least) = middle;
  }
  BestTest best = outcome(at_far, high, low);
  best.told_near = share_that_reach(at_near, high);
  return best;
}

}  // namespace nthtree::oc
