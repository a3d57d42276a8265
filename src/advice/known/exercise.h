// SPDX-License-Identifier: Apache-2.0
//
// A counting exercise: several people count the same trees, more than once. How much of what the
// counts differ by is the trees, the people, and the counting itself.
//
// Two-way random effects analysis of variance with interaction (AIAG Measurement Systems Analysis,
// 4th ed. 2010, appendix A; R. K. Burdick, C. M. Borror and D. C. Montgomery, J. Qual. Technol.
// 35, 2003). Needs every person on every tree in the same number of rounds; the largest complete
// part is used, and what was left out is told.
//
//   Exercise result = exercise(season, "e1");
#pragma once

#include <string>
#include <vector>

#include "ledger/season.h"
#include "stats/variance_components.h"

namespace nthtree::advice {

struct ExercisePerson {
  std::string person;
  double mean = 0;              // spurs a tree
  double ratio_to_all = 1;      // own mean against everybody's
  double repeat_sd = 0;         // between own rounds on the same tree
  // Against everybody else's mean on the same trees: what 19 in 20 counts of a tree lie within, own
  // less the others', in spurs (Bland and Altman 1986). Known from three trees on.
  bool has_limits = false;
  double limit_low = 0, limit_high = 0;
};

struct Exercise {
  bool complete = false;        // at least 2 people × 2 trees × 2 rounds
  int people = 0, trees = 0, rounds = 0, left_out = 0;
  double mean = 0;
  double repeatability_sd = 0;    // same person, same tree
  double reproducibility_sd = 0;  // between people, interaction inside
  double interaction_sd = 0, people_sd = 0;
  double tree_sd = 0;
  // Two counts of one tree differ by less than this in 19 of 20 cases: by the same person, and by
  // two people (repeatability and reproducibility limits of ISO 5725-6, 1.96 × √2 × the sd).
  double same_person_limit = 0, two_people_limit = 0;
  double gauge_share = 0;         // of the total standard deviation, 0 … 1
  double f_people = 0, p_people = 1, f_interaction = 0, p_interaction = 1;
  bool interaction_pooled = false;  // p > 0.25: pooled into repeatability
  std::vector<ExercisePerson> by_person;
  stats::GaugeStudy study;        // the analysis itself: parts are trees, operators people
};

// Ids of the exercises with a count in that block, in order.
std::vector<std::string> exercises_in(const ledger::BlockSeason& block);
Exercise exercise(const ledger::Season& season, const std::string& id);

}  // namespace nthtree::advice
