// SPDX-License-Identifier: Apache-2.0
//
// Is looking worth more than acting? What one more look is expected to gain, in the money (or
// hours) that hang on a decision between acting and leaving it.
//
// The gain of acting is linear in an unknown mean: gain = worth (mean - break_even), and not acting
// gains nothing. The mean is known as normal. Not for: gains with a cap, more than two choices.
// Sources: Raiffa and Schlaifer, Applied Statistical Decision Theory, 1961, ch. 5 and app. table
// II (unit normal linear loss); Berger, Statistical Decision Theory, 2nd ed. 1985, sec. 7.
//
//   LinearDecision back{.mean = 95, .sd = 10, .break_even = 100, .worth = 20};
//   double all = value_of_perfect_information(back);             // 39.56
//   LooksPlan plan = looks_that_pay(back, 30, 1, 200);           // 11 looks, 11.13 net
#pragma once

#include "stats/interval.h"

namespace nthtree::stats {

// φ(u) - u Φ(-u): the expected excess of a standard normal variable over u; 0 at +infinity,
// -u far below 0.
double unit_normal_linear_loss(double u);

struct LinearDecision {
  double mean = 0;        // what is believed of the unknown
  double sd = 0;          // 0 or more; how loosely
  double break_even = 0;  // acting pays above it where worth > 0
  double worth = 1;       // gain of acting per unit above break-even, positive

  // Gain of the better choice by what is believed now: worth (mean - break_even), or 0.
  double value_now() const;
};

// Expected gain of knowing the unknown exactly before deciding; 0 or more.
double value_of_perfect_information(const LinearDecision& decision);

// Expected gain of `looks` independent looks of standard deviation noise_sd each (positive) before
// deciding; 0 for no looks. Not counting what they cost.
double value_of_looks(const LinearDecision& decision, double noise_sd, double looks);

struct LooksPlan {
  int looks = 0;     // 0: decide now
  double value = 0;  // expected gain of looking, before its cost
  double net = 0;    // value less cost
};

// The number of looks, 0 to looks_max, with the largest expected net gain at cost_per_look (0 or
// more) each. Every number is tried: the value is convex at first, so that two looks can pay where
// one does not.
LooksPlan looks_that_pay(const LinearDecision& decision, double noise_sd, double cost_per_look,
                         int looks_max);

}  // namespace nthtree::stats
