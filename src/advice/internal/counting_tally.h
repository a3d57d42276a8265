// SPDX-License-Identifier: Apache-2.0
//
// What each person counted, added up for counting_bias.h: pairs of tag and check count, and the
// marks of numbers that were not counted. Internal to advice/. Tallies of blocks add up, so that
// one more count touches one block only.
#pragma once

#include <array>
#include <cstdint>
#include <map>
#include <string>
#include <vector>

#include "advice/known/counting_bias.h"
#include "ledger/season.h"

namespace nthtree::advice {

struct PersonTally {
  bool is_lead = false;
  int counts = 0, round_numbers = 0, repeats = 0, streaks = 0;
  double spurs = 0;
  double log_squares = 0, log_df = 0;  // of ln counts, within block and day
  int pairs = 0;
  double pair_sum = 0, pair_sum_squares = 0;
  std::array<double, 3> latest_pairs{};     // their ln(check ÷ tag), the latest last; 0 where fewer
  std::vector<CountedTwice> counted_twice;  // in time order within a block

  void add_pair(double log_ratio);
  void add(const PersonTally& other);  // all but counted_twice
  double mean_spurs() const { return counts ? spurs / counts : 0; }
  double pair_mean() const { return pairs ? pair_sum / pairs : 0; }
  double pair_squares() const {
    return pairs ? pair_sum_squares - pair_sum * pair_sum / pairs : 0;
  }
};

// Everybody's tally, of one block or of some together.
struct PeopleTally {
  std::map<std::string, PersonTally> people;
  void add(const PeopleTally& other);
};

// The latest tag on each tree that no re-count was paired with, as its place in the block's list: a
// season has tens of thousands. The list must only grow at its end.
class LatestTags {
 public:
  using Tags = ledger::Entries<ledger::TagCount>;
  // The tag at that place; it is the latest on its tree.
  void put(const Tags& tags, std::size_t place);
  // Null where there is none, or where its author is the one who re-counts; else it is paired now.
  const ledger::Entry<ledger::TagCount>* pair(const Tags& tags, const orchard::TreeAddress& tree,
                                              const std::string& by);

 private:
  struct Slot {
    std::uint32_t after = 0;  // one past the tag's place; 0: empty
    bool is_paired() const { return after & paired; }
    static constexpr std::uint32_t paired = 1u << 31;
    std::size_t place() const { return (after & ~paired) - 1; }
  };
  // The tree's own slot, or the empty one where it belongs.
  Slot& slot_of(const Tags& tags, const orchard::TreeAddress& tree);
  void grow(const Tags& tags);

  std::vector<Slot> slots_;  // a power of two of them, a quarter of them empty at least
  std::size_t taken_ = 0;
};

// Adds up one block, count by count, so that one more count costs one step.
class CountingTally {
 public:
  // Takes what the block holds up to cut_ms and was not taken yet; the block's lists must only
  // have grown at their ends since the last call.
  void take(const ledger::Season& season, const ledger::BlockSeason& block, std::int64_t cut_ms);
  // Each person's sums in this block: all that pool_counting looks at …
  PeopleTally sums() const;
  // … and added to those of other blocks, with the pairs themselves: a season has thousands.
  void add_to(std::map<std::string, PersonTally>& people) const;

 private:
  struct Run {  // of one person on one day
    std::int64_t day = 0;
    int last = -1, n = 0;
    double sum = 0, squares = 0;
    void close(PersonTally& tally) const;
  };
  struct Person {
    PersonTally tally;
    Run run;
  };
  void take_tag(const ledger::Season& season, const ledger::Entry<ledger::TagCount>& entry);
  void take_check(const ledger::BlockSeason& block,
                  const ledger::Entry<ledger::CheckCount>& entry);
  void add_pair(const std::string& person, const CountedTwice& pair);
  // Re-counts of the same limbs: what the limbs left out is in both and cancels.
  void take_part_checks(const ledger::BlockSeason& block, std::int64_t cut_ms);

  std::map<std::string, Person> people_;
  LatestTags tags_;
  std::size_t tags_taken_ = 0, checks_taken_ = 0, part_checks_taken_ = 0;
};

// The crew's mean of ln(check ÷ tag) and the variance between counters; `one`: of a single pair.
struct CountingCrew {
  CountingCrew();  // as it is believed before any pair
  double mean = 0, mean_variance = 0;
  double between = 0, between_before = 0;  // after the last round, and as that found it
  double one = 0;
  double off_chance = 0;                   // of one more counter, to count unlike the rest
  std::map<std::string, double> as_usual;  // of people with a pair, the chance of the other kind

  // What is believed of one more counter; loose: variance of the crew's own mean.
  stats::BeliefMixture newcomer(double loose) const;
};

// Everybody's tally over all blocks, leads marked.
std::map<std::string, PersonTally> tally_counting(const ledger::Season& season,
                                                  std::int64_t cut_ms);
CountingCrew fit_counting_crew(const std::map<std::string, PersonTally>& people);

// Leads count right by definition, also before their first count.
void add_leads(const ledger::Season& season, std::map<std::string, PersonTally>& people);
CountingBias pool_counting(const std::map<std::string, PersonTally>& people);
// The part of it that every tag may change: counts and signs, of the same people.
void look_for_signs(const std::map<std::string, PersonTally>& people, CountingBias& bias);

}  // namespace nthtree::advice
