// SPDX-License-Identifier: Apache-2.0
//
// One pruner judged tree by tree: by ours, and by what a crew would use instead. Each method takes
// a count and says where it stands.
//
// Rivals are given the target exactly, counts without bias and, where marked, the true spread:
// they are bounds or textbook tools, not straw men.
#pragma once

#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "advice/known/counting_bias.h"
#include "advice/internal/evidence.h"
#include "advice/settings.h"
#include "advice/judged/standing.h"
#include "advice/judged/verdict.h"
#include "world.h"

namespace nthtree::oc {

using advice::VerdictKind;

class Method {
 public:
  virtual ~Method() = default;
  virtual VerdictKind add(const Counted& count) = 0;  // after this count
  virtual void restart() = 0;                         // a new pruner, same settings
};

struct Known {           // what a method is told of the truth
  double target = 180;
  double tolerance = 0.15;
  double cv = 0.25;      // the true one, for methods that need it
  double alpha = 0.05, beta = 0.10;
};

// Ours, a pruner alone. spread_df: what the block's earlier counts have taught of the spread.
struct OursSetup {
  double target_log_sd = 0;
  double bias_log_mean = 0, bias_log_sd = 0;  // of the counter, as known
  double spread_df = 0;                       // from other trees of the block, at the true cv
  const Truth* others = nullptr;              // or: others_counts trees counted by others there
  int others_counts = 0;
  int check_every = 0;                        // a re-count of every so-manieth tag; 0: none
};

class Ours : public Method {
 public:
  Ours(const Known& known, const OursSetup& setup);
  VerdictKind add(const Counted& count) override;
  void restart() override;
  advice::Standing standing() const;
  const advice::Settings& settings() const { return settings_; }

 private:
  void learn_bias();

  Known known_;
  OursSetup setup_;
  advice::BlockEvidence here_;
  advice::CountingBias bias_;
  advice::Settings settings_;
  advice::SpreadSums known_spread_;
  int counted_ = 0;
  double pairs_ = 0, pair_sum_ = 0;  // ln(check ÷ tag) of the re-counted trees
  std::uint64_t others_seed_ = 1;
};

std::unique_ptr<Method> plain_mean(const Known& known);             // mean outside the band
std::unique_ptr<Method> fixed_n_t(const Known& known, int n);       // one t test after n counts
int n_for_fixed_t(const Known& known);                              // that holds the same rates
std::unique_ptr<Method> shewhart(const Known& known);               // a count beyond 3 sd
std::unique_ptr<Method> ewma(const Known& known);                   // lambda 0.2, L 2.86
std::unique_ptr<Method> wald(const Known& known);                   // SPRT, spread known
double wald_bound(const Known& known, double far_ratio);            // average trees, no overshoot

}  // namespace nthtree::oc
