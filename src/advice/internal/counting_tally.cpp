// SPDX-License-Identifier: Apache-2.0
#include "advice/internal/counting_tally.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <utility>

#include "advice/internal/current.h"
#include "advice/internal/sum_tree.h"

namespace nthtree::advice {
namespace {

bool is_lead(const ledger::Season& season, const std::string& person) {
  const orchard::Person* found = season.person(person);
  return found && found->role == orchard::Role::lead;
}

}  // namespace

void add_leads(const ledger::Season& season, std::map<std::string, PersonTally>& people) {
  for (const auto& [id, person] : season.people()) {
    if (person.role == orchard::Role::lead) people[id].is_lead = true;
  }
}

void PersonTally::add_pair(double log_ratio) {
  latest_pairs = {latest_pairs[1], latest_pairs[2], log_ratio};
  ++pairs;
}

void PersonTally::add(const PersonTally& other) {
  is_lead = is_lead || other.is_lead;
  counts += other.counts;
  round_numbers += other.round_numbers;
  repeats += other.repeats;
  streaks += other.streaks;
  spurs += other.spurs;
  log_squares += other.log_squares;
  log_df += other.log_df;
  for (int i = std::max(0, 3 - other.pairs); i < 3; ++i) add_pair(other.latest_pairs[i]);
  pairs += std::max(0, other.pairs - 3);
  pair_sum += other.pair_sum;
  pair_sum_squares += other.pair_sum_squares;
}

LatestTags::Slot& LatestTags::slot_of(const Tags& tags, const orchard::TreeAddress& tree) {
  const std::size_t last = slots_.size() - 1;
  const auto key = static_cast<std::uint64_t>(tree_key(tree)) * 0x9e3779b97f4a7c15u;
  std::size_t at = static_cast<std::size_t>(key >> 32) & last;
  while (slots_[at].after && tags[slots_[at].place()].body.tree != tree) at = (at + 1) & last;
  return slots_[at];
}

void LatestTags::grow(const Tags& tags) {
  const std::vector<Slot> before =
      std::exchange(slots_, std::vector<Slot>(slots_.empty() ? 16 : 2 * slots_.size()));
  for (const Slot& slot : before) {
    if (slot.after) slot_of(tags, tags[slot.place()].body.tree) = slot;
  }
}

void LatestTags::put(const Tags& tags, std::size_t place) {
  if (4 * (taken_ + 1) > 3 * slots_.size()) grow(tags);
  Slot& slot = slot_of(tags, tags[place].body.tree);
  if (!slot.after) ++taken_;
  slot.after = static_cast<std::uint32_t>(place + 1);
}

const ledger::Entry<ledger::TagCount>* LatestTags::pair(const Tags& tags,
                                                        const orchard::TreeAddress& tree,
                                                        const std::string& by) {
  if (slots_.empty()) return nullptr;
  Slot& slot = slot_of(tags, tree);
  if (!slot.after || slot.is_paired() || tags[slot.place()].author == by) return nullptr;
  slot.after |= Slot::paired;
  return &tags[slot.place()];
}

void CountingTally::Run::close(PersonTally& tally) const {
  if (n < 2) return;
  tally.log_squares += at_least_zero(squares - sum * sum / n);
  tally.log_df += n - 1;
}

void CountingTally::take_tag(const ledger::Season& season,
                             const ledger::Entry<ledger::TagCount>& entry) {
  auto& [tally, run] = people_[entry.author];
  if (tally.counts == 0) tally.is_lead = is_lead(season, entry.author);
  const int spurs = entry.body.spurs;
  const std::int64_t day = season.day_of(entry.at_ms());
  if (run.n == 0 || run.day != day) {
    run.close(tally);
    run = {day, -1, 0, 0, 0};
    ++tally.streaks;
  }
  ++tally.counts;
  tally.spurs += spurs;
  if (spurs % 5 == 0) ++tally.round_numbers;
  if (spurs == run.last) ++tally.repeats;
  const double log_spurs = log_count(spurs);
  run.last = spurs;
  ++run.n;
  run.sum += log_spurs;
  run.squares += log_spurs * log_spurs;
}

void CountingTally::take_check(const ledger::BlockSeason& block,
                               const ledger::Entry<ledger::CheckCount>& entry) {
  const auto* tag = tags_.pair(block.tag_counts, entry.body.tree, entry.author);
  if (!tag) return;
  // A re-count finds the tree as it was left: after the mend, where there was one.
  add_pair(tag->author, {static_cast<double>(tag->body.spurs_after_mend.value_or(tag->body.spurs)),
                         static_cast<double>(entry.body.spurs)});
}

void CountingTally::add_pair(const std::string& person, const CountedTwice& pair) {
  PersonTally& tally = people_[person].tally;
  const double log_ratio = pair.log_ratio();
  tally.add_pair(log_ratio);
  tally.pair_sum += log_ratio;
  tally.pair_sum_squares += log_ratio * log_ratio;
  tally.counted_twice.push_back(pair);
}

void CountingTally::take_part_checks(const ledger::BlockSeason& block, std::int64_t cut_ms) {
  const auto sum_of = [](const std::vector<int>& limbs) {
    return std::accumulate(limbs.begin(), limbs.end(), 0.0);
  };
  const auto& checks = block.part_checks;
  for (; part_checks_taken_ < checks.size(); ++part_checks_taken_) {
    const auto& check = checks[part_checks_taken_];
    if (check.at_ms() > cut_ms) return;
    if (!ledger::stands(check)) continue;
    const ledger::Entry<ledger::PartCount>* counted = nullptr;
    for_current(block.part_counts, check.at_ms(), [&](const auto& entry) {
      if (entry.body.tree == check.body.tree && entry.author != check.author) counted = &entry;
    });
    if (!counted || !(counted->body.counted.draw == check.body.counted.draw)) continue;
    add_pair(counted->author,
             {sum_of(counted->body.counted.limbs), sum_of(check.body.counted.limbs)});
  }
}

void CountingTally::take(const ledger::Season& season, const ledger::BlockSeason& block,
                         std::int64_t cut_ms) {
  take_part_checks(block, cut_ms);
  const auto& tags = block.tag_counts;
  const auto& checks = block.check_counts;
  // Both lists are in time order: walk them as one.
  while (true) {
    const bool has_tag = tags_taken_ < tags.size() && tags[tags_taken_].at_ms() <= cut_ms;
    const bool has_check =
        checks_taken_ < checks.size() && checks[checks_taken_].at_ms() <= cut_ms;
    if (!has_tag && !has_check) return;
    if (has_tag && (!has_check || tags[tags_taken_].position < checks[checks_taken_].position)) {
      const auto& entry = tags[tags_taken_++];
      if (!ledger::stands(entry)) continue;
      take_tag(season, entry);
      tags_.put(tags, tags_taken_ - 1);
    } else {
      const auto& entry = checks[checks_taken_++];
      if (ledger::stands(entry)) take_check(block, entry);
    }
  }
}

void PeopleTally::add(const PeopleTally& other) { add_each(other.people, people); }

PeopleTally CountingTally::sums() const {
  PeopleTally sums;
  for (const auto& [person, own] : people_) {
    PersonTally& tally = sums.people[person];
    tally.add(own.tally);
    own.run.close(tally);
  }
  return sums;
}

void CountingTally::add_to(std::map<std::string, PersonTally>& people) const {
  add_each(sums().people, people);
  for (const auto& [person, own] : people_) {
    auto& pairs = people[person].counted_twice;
    pairs.insert(pairs.end(), own.tally.counted_twice.begin(), own.tally.counted_twice.end());
  }
}

}  // namespace nthtree::advice
