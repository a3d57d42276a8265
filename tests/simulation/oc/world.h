// SPDX-License-Identifier: Apache-2.0
//
// Trees as they are and counts as they are made, for measuring verdicts: the truth is known here
// and only the counts are handed on.
//
//   TreeLine trees({.ratio = 1.225, .cv = 0.25}, seed);
//   Counted one = trees.next();
#pragma once

#include <cstdint>

#include "base/random.h"

namespace nthtree::oc {

enum class Shape { negative_binomial, log_normal };

struct Truth {
  double ratio = 1;          // mean spurs left ÷ target
  double cv = 0.25;          // tree to tree
  Shape shape = Shape::negative_binomial;
  double target = 180;
  double zero_share = 0;     // dead or missed trees that carry nothing
  double strong_share = 0;   // of trees of another vigour …
  double strong_ratio = 1;   // … that carry this many times more (the mean is kept)
  double row_sd = 0;         // rows that differ, on the log scale; a row holds counts_a_row counts
  int counts_a_row = 2;
  double autocorrelation = 0;  // between counts that follow each other
  double counter_ratio = 1;    // tag ÷ true of this person
  double counter_sd = 0;       // scatter of one count, on the log scale
  double drift_per_count = 0;  // on the log scale
};

struct Counted {
  double spurs = 0;  // true
  double tag = 0;    // as counted by the pruner
  int row = 1;
};

class TreeLine {
 public:
  TreeLine(const Truth& truth, std::uint64_t seed);
  Counted next();
  double level() const;  // mean share of the target where the last tree stands, its row inside
  void change(double ratio) { truth_.ratio = ratio; }  // a step of the level, from the next tree on

 private:
  double draw_plain();

  Truth truth_;
  base::Random random_;
  double memory_ = 0, row_ = 0, moved_ = 0;
  int counted_ = 0;
};

}  // namespace nthtree::oc
