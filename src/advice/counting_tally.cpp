// SPDX-License-Identifier: Apache-2.0
#include "advice/counting_tally.h"

#include <cmath>
#include <unordered_map>

#include "advice/live.h"

namespace nthtree::advice {
namespace {

struct Run {  // of one person in one block on one day
  std::int64_t day = 0;
  int last = -1, n = 0;
  double sum = 0, squares = 0;

  void close(PersonTally& tally) const {
    if (n < 2) return;
    tally.log_squares += at_least_zero(squares - sum * sum / n);
    tally.log_df += n - 1;
  }
};

struct Tag {
  const std::string* person = nullptr;
  int spurs = 0;
};

bool is_lead(const ledger::Season& season, const std::string& person) {
  const orchard::Person* found = season.person(person);
  return found && found->role == orchard::Role::lead;
}

void add_count(const ledger::Entry<ledger::TagCount>& entry, std::int64_t day, Run& run,
               PersonTally& tally) {
  const int spurs = entry.body.spurs;
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

void add_pair(const Tag& tag, int check, PersonTally& tally) {
  const double log_ratio = std::log((check + 0.5) / (tag.spurs + 0.5));
  ++tally.pairs;
  tally.pair_sum += log_ratio;
  tally.pair_sum_squares += log_ratio * log_ratio;
  tally.pair_logs.push_back(log_ratio);
}

}  // namespace

void add_tally(const ledger::Season& season, const ledger::BlockSeason& block,
               std::int64_t now_ms, std::map<std::string, PersonTally>& people) {
  std::unordered_map<std::string, Run> runs;
  std::unordered_map<std::int64_t, Tag> tags;  // the latest on a tree, not yet paired
  auto next_check = block.check_counts.begin();
  const auto pair_up_to = [&](const ledger::Place& place) {
    for (; next_check != block.check_counts.end() && next_check->place < place; ++next_check) {
      if (next_check->withdrawn || next_check->at_ms() > now_ms) continue;
      const auto found = tags.find(tree_key(next_check->body.tree));
      if (found == tags.end() || *found->second.person == next_check->author) continue;
      add_pair(found->second, next_check->body.spurs, people[*found->second.person]);
      tags.erase(found);
    }
  };
  for_live(block.tag_counts, now_ms, [&](const auto& entry) {
    pair_up_to(entry.place);
    PersonTally& tally = people[entry.author];
    if (tally.counts == 0) tally.is_lead = is_lead(season, entry.author);
    add_count(entry, season.day_of(entry.at_ms()), runs[entry.author], tally);
    tags[tree_key(entry.body.tree)] = {&entry.author, entry.body.spurs};
  });
  pair_up_to({{always, 0}, {}});
  for (const auto& [person, run] : runs) run.close(people[person]);
}

}  // namespace nthtree::advice
