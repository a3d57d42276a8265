// SPDX-License-Identifier: Apache-2.0
#include "methods.h"

#include <algorithm>
#include <cmath>

#include "advice/internal/current.h"
#include "advice/internal/standing_model.h"
#include "stats/quantiles.h"
#include "stats/summary.h"

namespace nthtree::oc {
namespace {

const std::string pruner = "p";

advice::CountPoint point_of(const Counted& count, double target, int number) {
  advice::CountPoint point;
  point.at_ms = number;
  point.tree = {count.row, number};
  point.spurs = count.tag;
  point.share_tag = count.tag / target;
  return point;
}

double log_sd(double cv) { return std::sqrt(std::log1p(cv * cv)); }

class PlainMean : public Method {
 public:
  explicit PlainMean(const Known& known) : known_(known) {}
  void restart() override { sum_ = n_ = 0; }
  VerdictKind add(const Counted& count) override {
    sum_ += count.tag;
    n_ += 1;
    const double off = sum_ / n_ / known_.target - 1;
    if (off > known_.tolerance) return VerdictKind::harder;
    if (off < -known_.tolerance) return VerdictKind::lighter;
    return VerdictKind::on_target;
  }

 private:
  Known known_;
  double sum_ = 0, n_ = 0;
};

class FixedN : public Method {
 public:
  FixedN(const Known& known, int n) : known_(known), n_(n) {}
  void restart() override { seen_ = {}; }
  VerdictKind add(const Counted& count) override {
    if (static_cast<int>(seen_.n()) < n_) seen_.add(count.tag / known_.target);
    if (static_cast<int>(seen_.n()) < n_) return VerdictKind::count_more;
    const double half = stats::t_quantile(1 - known_.alpha, n_ - 1.0) * seen_.sd() /
                        std::sqrt(static_cast<double>(n_));
    const double near = known_.tolerance / 2;
    if (seen_.mean() - half > 1 + near) return VerdictKind::harder;
    if (seen_.mean() + half < 1 - near) return VerdictKind::lighter;
    return VerdictKind::on_target;
  }

 private:
  Known known_;
  int n_;
  stats::RunningSummary seen_;
};

class Shewhart : public Method {
 public:
  explicit Shewhart(const Known& known) : known_(known) {}
  void restart() override {}
  VerdictKind add(const Counted& count) override {
    const double z = (count.tag / known_.target - 1) / known_.cv;
    if (z > 3) return VerdictKind::harder;
    if (z < -3) return VerdictKind::lighter;
    return VerdictKind::count_more;
  }

 private:
  Known known_;
};

class Ewma : public Method {
 public:
  explicit Ewma(const Known& known) : known_(known) {}
  void restart() override { z_ = 0; }
  VerdictKind add(const Counted& count) override {
    constexpr double lambda = 0.2, width = 2.86;
    z_ += lambda * ((count.tag / known_.target - 1) / known_.cv - z_);
    const double limit = width * std::sqrt(lambda / (2 - lambda));
    if (z_ > limit) return VerdictKind::harder;
    if (z_ < -limit) return VerdictKind::lighter;
    return VerdictKind::count_more;
  }

 private:
  Known known_;
  double z_ = 0;
};

// Two one-sided tests, half a tolerance off against one and a half, on logs with the true spread.
class Wald : public Method {
 public:
  explicit Wald(const Known& known) : known_(known), sd_(log_sd(known.cv)) {}
  void restart() override {
    up_ = down_ = 0;
    settled_ = VerdictKind::count_more;
    up_cleared_ = down_cleared_ = false;
  }
  VerdictKind add(const Counted& count) override {
    if (settled_ != VerdictKind::count_more) return settled_;
    const double y = advice::log_count(count.tag) - std::log(known_.target) + sd_ * sd_ / 2;
    const double t = known_.tolerance;
    up_ += gain(y, std::log1p(t / 2), std::log1p(1.5 * t));
    down_ += gain(-y, -std::log1p(-t / 2), -std::log1p(-1.5 * t));
    const double high = std::log((1 - known_.beta) / known_.alpha);
    const double low = std::log(known_.beta / (1 - known_.alpha));
    if (!up_cleared_ && up_ >= high) settled_ = VerdictKind::harder;
    if (!down_cleared_ && down_ >= high) settled_ = VerdictKind::lighter;
    up_cleared_ = up_cleared_ || up_ <= low;
    down_cleared_ = down_cleared_ || down_ <= low;
    if (settled_ == VerdictKind::count_more && up_cleared_ && down_cleared_) {
      settled_ = VerdictKind::on_target;
    }
    return settled_;
  }

 private:
  double gain(double y, double near, double far) const {
    return (far - near) * (y - (near + far) / 2) / (sd_ * sd_);
  }

  Known known_;
  double sd_, up_ = 0, down_ = 0;
  bool up_cleared_ = false, down_cleared_ = false;
  VerdictKind settled_ = VerdictKind::count_more;
};

}  // namespace

Ours::Ours(const Known& known, const OursSetup& setup) : known_(known), setup_(setup) {
  here_.block = "b";
  here_.has_target = true;
  here_.target_spurs = known.target;
  here_.target.spurs_to_leave_per_tree = orchard::Estimate::exactly(known.target);
  here_.target_log_sd = setup.target_log_sd;
  settings_.tolerance_fraction = known.tolerance;
  settings_.sureness = 1 - known.alpha;
  restart();
}

// What other people's counts in the same block teach of its trees, by the app's own reckoning.
advice::SpreadSums spread_from_others(const Truth& truth, int counts, std::uint64_t seed) {
  advice::PersonEvidence others;
  TreeLine line(truth, seed);
  for (int n = 0; n < counts; ++n) others.add(point_of(line.next(), truth.target, n));
  return advice::spread_sums(others, 0);
}

void Ours::restart() {
  here_.people.clear();
  counted_ = 0;
  pairs_ = pair_sum_ = 0;
  bias_.crew_log_mean = setup_.bias_log_mean;
  bias_.crew_log_sd_between = setup_.bias_log_sd;
  const double df = setup_.spread_df;
  known_spread_ = {};
  known_spread_.squares = df * known_.cv * known_.cv;
  known_spread_.df = df;
  if (setup_.others) {
    known_spread_ = spread_from_others(*setup_.others, setup_.others_counts, ++others_seed_);
  }
}

// What the pairs so far teach of this counter, as counting_bias.h does it for one person.
void Ours::learn_bias() {
  constexpr double pair_variance = 0.01;
  const double prior = 1 / (setup_.bias_log_sd * setup_.bias_log_sd), own = pairs_ / pair_variance;
  bias_.crew_log_mean =
      (setup_.bias_log_mean * prior + pair_sum_ / pair_variance) / (prior + own);
  bias_.crew_log_sd_between = std::sqrt(1 / (prior + own));
}

VerdictKind Ours::add(const Counted& count) {
  advice::CountPoint point = point_of(count, known_.target, ++counted_);
  if (setup_.check_every > 0 && counted_ % setup_.check_every == 0) {
    point.add_more().check = count.spurs;
    point.add_more().share_check = count.spurs / known_.target;
    pairs_ += 1;
    pair_sum_ += point.log_ratio();
    learn_bias();
  }
  here_.people[pruner].add(point);
  return advice::kind_of(standing(), settings_);
}

advice::Standing Ours::standing() const {
  advice::StandingInput input;
  input.here = &here_;
  input.bias = &bias_;
  input.tolerance_fraction = known_.tolerance;
  input.known_spread = known_spread_;
  return advice::model_standings(input).pruners.front();
}

std::unique_ptr<Method> plain_mean(const Known& known) {
  return std::make_unique<PlainMean>(known);
}
std::unique_ptr<Method> fixed_n_t(const Known& known, int n) {
  return std::make_unique<FixedN>(known, n);
}

int n_for_fixed_t(const Known& known) {
  const double far = 1 + 1.5 * known.tolerance, sd = known.cv * far;
  for (int n = 3; n < 400; ++n) {
    const double delta = known.tolerance * std::sqrt(static_cast<double>(n)) / sd;
    const double limit = stats::t_quantile(1 - known.alpha, n - 1.0);
    if (1 - stats::noncentral_t_cdf(limit, n - 1.0, delta) >= 1 - known.beta) return n;
  }
  return 400;
}

std::unique_ptr<Method> shewhart(const Known& known) { return std::make_unique<Shewhart>(known); }
std::unique_ptr<Method> ewma(const Known& known) { return std::make_unique<Ewma>(known); }
std::unique_ptr<Method> wald(const Known& known) { return std::make_unique<Wald>(known); }

double wald_bound(const Known& known, double far_ratio) {
  const double t = known.tolerance;
  const bool up = far_ratio > 1;
  const double near = up ? std::log1p(t / 2) : -std::log1p(-t / 2);
  const double d = (std::fabs(std::log(far_ratio)) - near) / log_sd(known.cv);
  const double miss = known.beta, alpha = known.alpha;
  return ((1 - miss) * std::log((1 - miss) / alpha) + miss * std::log(miss / (1 - alpha))) /
         (d * d / 2);
}

}  // namespace nthtree::oc
