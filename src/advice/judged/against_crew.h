// SPDX-License-Identifier: Apache-2.0
//
// A pruner against the others in the same block, whatever the target. All are measured against one
// target, so that what is not known of it cancels; so does what the crew's counting misses on
// average. Where the target is loose, this still tells who differs.
//
// The question is about these people: own level less the mean of the others' levels, weighed by how
// well each is known. Own counts alone: nobody is drawn towards anybody. The answer comes from the
// verdict's sequential lines, half a tolerance against one and a half, so its error rates hold over
// a whole day of looking (oc/against_crew.md). Against the mean of the others and not of all, a
// pruner's own level does not hide itself (compare the analysis of means: E. R. Ott, Ind. Qual.
// Control 24, 1967). It says who differs, not who is right: that is the target's to say.
//
//   AgainstCrew crew = against_crew(standings, "p3", settings);
//   if (crew.kind == AgainstCrewKind::fewer) tell(crew.reason);
#pragma once

#include <string>
#include <vector>

#include "advice/judged/standing.h"
#include "advice/reason.h"
#include "advice/settings.h"
#include "orchard/target.h"

namespace nthtree::advice {

enum class AgainstCrewKind {
  too_few_others,  // nobody to compare with yet
  open,            // not sure yet
  more, fewer,     // surely leaves more, fewer, than the others
  alike,           // surely not as far off as one and a half tolerances
};

// The others are at least so many, with at least so many counts each.
inline constexpr int others_least = 2, counts_of_other_least = 3;

struct CrewPart {  // one of the others
  std::string person;
  double mean = 0, variance = 0;  // of ln(level ÷ target); target and the crew's miss not inside
  double weight = 0;              // of the others' mean; they add up to 1
};

struct AgainstCrew {
  AgainstCrewKind kind = AgainstCrewKind::too_few_others;
  int others = 0;
  // ln(own level ÷ the others' mean level), from counts alone.
  LogRatio difference;
  orchard::Estimate fraction;       // the same as a share: -0.25 is a quarter fewer; 90 %
  orchard::Estimate spurs_per_tree_over_crew; // more than the others leave (negative: fewer); 90 %
  double sureness = 0;              // that it is more than half a tolerance that way; of alike,
                                    // less than one and a half
  // What the difference was made of.
  std::vector<CrewPart> parts;
  double own_mean = 0, own_variance = 0, others_mean = 0;
  double shared_variance = 0;       // what does not cancel of the crew's average miss
  Reason reason;  // crew_more, crew_fewer, crew_alike, crew_open, crew_few_others
  bool tells() const { return kind == AgainstCrewKind::more || kind == AgainstCrewKind::fewer; }
  // Tells, and the level lies on that side of the target as well as is known: nobody is asked to
  // follow a crew that is off.
  bool tells_with(const Standing& own) const {
    return tells() && (kind == AgainstCrewKind::more) == (own.over_target.value > 0);
  }
};

// A person without a count there: too_few_others.
AgainstCrew against_crew(const BlockStandings& standings, const std::string& person,
                         const Settings& settings);

// Stable word for files: "too_few_others", "open", "more", "fewer", "alike".
const char* name_of(AgainstCrewKind kind);

}  // namespace nthtree::advice
