// SPDX-License-Identifier: Apache-2.0
#include "advice/internal/gather_parts.h"

#include <algorithm>
#include <cmath>
#include <set>
#include <unordered_map>

#include "advice/internal/current.h"

namespace nthtree::advice {
namespace {

using PartCheckEntry = ledger::Entry<ledger::PartCheck>;

// The first re-count of the same limbs by somebody else, after the count.
const PartCheckEntry* check_of(const ledger::BlockSeason& block, std::int64_t now_ms,
                               const ledger::Entry<ledger::PartCount>& count) {
  const PartCheckEntry* found = nullptr;
  for_current(block.part_checks, now_ms, [&](const auto& check) {
    if (found || check.body.tree != count.body.tree || check.position < count.position) return;
    if (check.author == count.author) return;
    if (check.body.counted.draw == count.body.counted.draw) found = &check;
  });
  return found;
}

void sort_counts(PersonEvidence& person) {
  std::stable_sort(person.counts.begin(), person.counts.end(),
                   [](const CountPoint& a, const CountPoint& b) { return a.at_ms < b.at_ms; });
}

// When each person first counted each tree, by whatever count.
class FirstCounts {
 public:
  FirstCounts(const ledger::BlockSeason& block, std::int64_t now_ms) {
    const auto look = [&](const auto& entry) {
      const auto [at, is_new] =
          by_person_[entry.author].emplace(tree_key(entry.body.tree), entry.at_ms());
      if (!is_new) at->second = std::min(at->second, entry.at_ms());
    };
    for_current(block.tag_counts, now_ms, look);
    for_current(block.part_counts, now_ms, look);
    for_current(block.check_counts, now_ms, look);
    for_current(block.part_checks, now_ms, look);
  }
  bool before(const ledger::Entry<ledger::EyeScore>& score) const {
    const auto person = by_person_.find(score.author);
    if (person == by_person_.end()) return false;
    const auto tree = person->second.find(tree_key(score.body.tree));
    return tree != person->second.end() && tree->second < score.at_ms();
  }

 private:
  std::map<std::string, std::unordered_map<std::int64_t, std::int64_t>> by_person_;
};

}  // namespace

void gather_part_counts(const ledger::Season& season, const ledger::BlockSeason& block,
                        std::int64_t since_ms, std::int64_t now_ms, BlockEvidence& evidence) {
  const double target = evidence.has_target ? evidence.target_spurs : 1;
  for_current(block.tag_counts, now_ms, [&](const auto& entry) {
    if (entry.at_ms() < since_ms) return;
    const auto& limbs = entry.body.limbs;
    evidence.limbs.add(limbs, static_cast<int>(limbs.size()));
  });
  std::set<std::string> touched;
  for_current(block.part_counts, now_ms, [&](const auto& entry) {
    if (entry.at_ms() < since_ms) return;
    const ledger::LimbCounts& counted = entry.body.counted;
    CountPoint point;
    point.at_ms = entry.at_ms();
    point.day = static_cast<int>(season.day_of(point.at_ms));
    point.tree = entry.body.tree;
    point.spurs = counted.on_tree();
    point.share_tag = point.spurs / target;
    CountPoint::More& more = point.add_more();
    more.limbs = static_cast<int>(counted.limbs.size());
    more.limbs_in_tree = counted.draw.limbs;
    if (const auto* check = check_of(block, now_ms, entry)) {
      more.check = check->body.counted.on_tree();
      more.share_check = more.check / target;
    }
    evidence.limbs.add(counted.limbs, counted.draw.limbs);
    evidence.people[entry.author].add(std::move(point));
    touched.insert(entry.author);
  });
  for (const std::string& person : touched) sort_counts(evidence.people[person]);
}

void gather_scores(const ledger::Season& season, const ledger::BlockSeason& block,
                   std::int64_t since_ms, std::int64_t now_ms, BlockEvidence& evidence) {
  if (block.eye_scores.empty()) return;
  std::map<std::string, std::unordered_map<std::int64_t, int>> counts;  // by person and tree
  for (const auto& [person, of_person] : evidence.people) {
    for (std::size_t i = 0; i < of_person.counts.size(); ++i) {
      counts[person][tree_key(of_person.counts[i].tree)] = static_cast<int>(i);
    }
  }
  const FirstCounts counted(block, now_ms);
  const double target = evidence.has_target ? evidence.target_spurs : 1;
  for_current(block.eye_scores, now_ms, [&](const auto& entry) {
    if (entry.at_ms() < since_ms || counted.before(entry)) return;
    ScorePoint score;
    score.at_ms = entry.at_ms();
    score.day = season.day_of(score.at_ms);
    score.eye = entry.author;
    score.person = entry.body.person.empty() ? entry.author : entry.body.person;
    score.tree = entry.body.tree;
    score.log_share = std::log(entry.body.spurs / target);
    evidence.people[score.person];  // somebody only looked at has a standing too
    const auto of_person = counts.find(score.person);
    if (of_person != counts.end()) {
      const auto found = of_person->second.find(tree_key(score.tree));
      if (found != of_person->second.end()) score.count = found->second;
    }
    evidence.scores.push_back(score);
  });
}

void scale_by_size(const SizeClasses& sizes, BlockEvidence& evidence) {
  if (!sizes.pays) return;
  for (auto& [name, person] : evidence.people) {
    for (CountPoint& point : person.counts) point.scale(sizes.factor_at(point.tree));
  }
  for (ScorePoint& score : evidence.scores) {
    score.log_share -= std::log(sizes.factor_at(score.tree));
  }
}

}  // namespace nthtree::advice
