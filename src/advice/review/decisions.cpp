// SPDX-License-Identifier: Apache-2.0
#include "advice/review/decisions.h"

#include <algorithm>
#include <cmath>

namespace nthtree::advice {
namespace {

const BlockDay* block_in(const DayReview& review, const std::string& id) {
  for (const BlockDay& day : review.blocks) {
    if (day.block == id) return &day;
  }
  return nullptr;
}

// How far off a person leaves the trees, as a share of the target.
double share_off(const DayReview& review, const PrunerDay& day) {
  const BlockDay* block = block_in(review, day.block);
  const double target = block ? block->acceptance.target : 0;
  return target > 0 ? std::fabs(day.verdict.over_target.value) / target : 0;
}

double share_off(const BlockDay& day) {
  const Acceptance& done = day.acceptance;
  return done.target > 0 ? std::fabs(done.mean.value - done.target) / done.target : 0;
}

bool is_off(const BlockDay& day) {
  return day.acceptance.kind == AcceptanceKind::over ||
         day.acceptance.kind == AcceptanceKind::under;
}

// What is cut off there is lost, so it comes before whatever can be mended.
constexpr double no_way_back = 10;

bool is_short_after_frost(const FrostAdvice& frost) {
  return frost.damage.known && frost.what == AfterFrost::stop_pruning;
}

bool is_late(const Pace& pace) {
  return pace.has_green_tip && pace.finish_day > 0 && pace.probability_in_time < 0.5;
}

// People missing, as a share of those at work; more than all of them over again is as bad as it
// gets.
double share_late(const Pace& pace) {
  if (pace.people <= 0 || pace.people_needed <= 0) return 1;
  return std::clamp(pace.people_needed / pace.people - 1, 0.0, 1.0);
}

template <typename T>
void worst_first(std::vector<T>& list) {
  std::stable_sort(list.begin(), list.end(),
                   [](const T& a, const T& b) { return a.weight > b.weight; });
}

}  // namespace

std::vector<Decision> decisions_of(const DayReview& review) {
  std::vector<Decision> open;
  for (const PrunerDay& day : review.pruners) {
    if (!day.has_standing) continue;
    const VerdictKind kind = day.verdict.kind;
    if (kind == VerdictKind::harder || kind == VerdictKind::lighter) {
      open.push_back({DecisionKind::tell_person, day.block, day.person, share_off(review, day)});
    } else if (day.drifted) {
      open.push_back({DecisionKind::person_changed, day.block, day.person, 0});
    }
  }
  for (const BlockDay& day : review.blocks) {
    if (is_short_after_frost(day.frost)) {
      open.push_back({DecisionKind::stop_pruning, day.block, "", no_way_back});
    }
    if (is_off(day)) open.push_back({DecisionKind::block_off, day.block, "", share_off(day)});
    if (is_late(day.pace)) {
      open.push_back({DecisionKind::block_late, day.block, "", share_late(day.pace)});
    }
  }
  worst_first(open);
  return open;
}

std::vector<Change> changes_of(const DayReview& review) {
  std::vector<Change> changes;
  for (const PrunerDay& day : review.pruners) {
    if (!day.has_standing || !day.before || *day.before == day.verdict.kind) continue;
    changes.push_back({day.block, day.person, share_off(review, day)});
  }
  for (const BlockDay& day : review.blocks) {
    if (!day.before || *day.before == day.acceptance.kind) continue;
    changes.push_back({day.block, "", share_off(day)});
  }
  worst_first(changes);
  return changes;
}

}  // namespace nthtree::advice
