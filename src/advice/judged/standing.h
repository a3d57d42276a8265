// SPDX-License-Identifier: Apache-2.0
//
// What is known of a pruner in a block, of a block, and of the crew: how many spurs are left on a
// tree, against the target, and how sure that is.
//
// Model (METHODS.md has it whole): a tree's true spurs scatter around the pruner's level as gamma
// or negative binomial counts do, and the plain mean is what is judged; the log of a level is
// normal, drawn from the crew's; day and row add their own scatter; a count is the true number less
// what this person misses (counting_bias.h). Old counts before the last advice fade. All of it, and
// the target's own uncertainty, goes into `log_ratio` below.
//
// Units: spurs on a tree, true ones (corrected for what people miss), before any mend.
// Works from no count at all, where it says what the crew says, and says so.
//
//   BlockStandings all = block_standings(season, "b1", now_ms);
//   const Standing* jo = all.of("p3");
//   Verdict verdict = judge(*jo, settings_for(season, *season.block("b1")));
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "advice/known/counting_bias.h"
#include "ledger/season.h"
#include "orchard/target.h"

namespace nthtree::advice {

enum class Whose { pruner, block, crew };

// A normal distribution of ln(true mean spurs left ÷ target).
struct LogRatio {
  double mean = 0;
  double sd = 1;
};

// The level as it is if the person counts as the crew does, and if they count unlike it; what the
// lead has not re-counted may be so. Beside a crew of which it stands far off, odd counting is the
// likelier the less of it was checked.
struct Miscount {
  double chance = 0;        // that the counting is what is off; 0 where all was re-counted
  LogRatio usual, off;      // of which log_ratio is mixed
};

struct Standing {
  Whose whose = Whose::pruner;
  std::string block;
  std::string person;             // empty unless whose == pruner

  bool has_target = false;
  orchard::Estimate target;       // spurs to leave, as in force
  orchard::Estimate spurs_per_tree;  // mean left on a tree, 90 %
  double unpruned_spurs = 0;      // mean of the unpruned trees counted here; 0 where there is none
  // spurs_per_tree - target, its own 90 % interval; too few never by more than could have stayed.
  orchard::Estimate over_target;
  LogRatio log_ratio;             // everything inside: counts, crew, bias, target
  LogRatio own;                   // from this standing's own counts alone (no pooling), bias in
  LogRatio prior;                 // what was known before this standing's own counts
  Miscount miscount;
  double tree_log_sd = 0.25;      // tree to tree
  double tree_df = 8;             // how well that is known, in degrees of freedom
  double count_log_variance = 0.07;  // what one more count is worth: its variance
  double target_log_sd = 0, bias_log_sd = 0;  // the two parts of shared_log_sd
  double level_variance = 1;      // of own counts alone, bias and target left out
  double unchecked_share = 1;     // of their weight, what rests on tags nobody re-counted
  int branches_more = 0;          // of buds to cut until the target is no hindrance
  double shared_log_sd = 0;       // part of log_ratio.sd no further tag count can take away
                                  // (target and counting bias)

  double crew_bias_share = 0;     // of what the crew's counting misses on average, what is in `own`

  double probability_over = 0;    // true mean above the band
  double probability_within = 0;  // inside the band
  double probability_under = 0;   // below it
  double confidence = 0;          // of the largest of the three

  int counts = 0;                 // own counts in this segment
  int counts_before = 0;          // own counts of older segments, faded
  double effective_counts = 0;    // own counts worth, faded ones included
  double borrowed_counts = 0;     // what the crew and past days are worth, in counts
  int checks = 0, checks_before = 0;  // of both, those re-counted by the lead
  int part_counts = 0;            // of the counts, those of some limbs
  int looks = 0;                  // scores that counted as evidence in this segment
  double looks_worth = 0;         // what those added, in counts
  std::int64_t segment_start_ms = 0;  // first count or last advice
  bool after_advice = false;      // the segment was opened by advice
  ledger::Direction advised = ledger::Direction::on_target;  // that advice
  double advised_spurs = 0;
  std::int64_t last_count_ms = 0; // 0 where there is none
  int last_spurs = 0;
  double last_surprise = 0;       // the last count's standardized residual when it came in
  // Trees far off the target (this_tree.h) among the latest counts since the lead's last word, as
  // they were left; also those that the mean leaves out. What the lead re-counted is no news.
  int far_over = 0, far_under = 0;
  bool last_is_far = false;
  // What does not fit the model; each has its words in Verdict::notes.
  bool mixed = false;             // trees differ so much that they look like two kinds
  bool bare_trees = false;        // some carry next to nothing
  bool neighbours_alike = false;  // counts that follow each other resemble each other
  bool rows_differ = false;
  bool little_known = false;      // too few counts in the block yet to see any of these
  bool few_rows = false;          // all from one or two rows, and whether rows differ is not known

  // More is to be left than an unpruned tree carries: all may stay, and the target is out of reach.
  bool is_target_out_of_reach() const {
    return has_target && unpruned_spurs > 0 && unpruned_spurs < target.value;
  }
  // Spurs that could be left on a tree.
  double reachable_spurs() const {
    return is_target_out_of_reach() ? unpruned_spurs : target.value;
  }
};

struct BlockStandings {
  std::string block;
  bool known = false;             // there is such a block
  Standing block_standing;
  Standing crew;                  // everybody who counts here, as one more pruner would be
  std::vector<Standing> pruners;  // by person id; everybody with a tag count in this block
  double crew_bias_log_sd = 0;    // how well it is known what the crew misses on average

  const Standing* of(const std::string& person) const;  // null where that person has no count
};

// Chance that ln(true mean ÷ target) lies above or below a value, all that is known inside.
double chance_above(const Standing& standing, double log_ratio);
double chance_below(const Standing& standing, double log_ratio);

BlockStandings block_standings(const ledger::Season& season, const std::string& block,
                               std::int64_t now_ms);

// The same for one person; a person without any count gets the crew's standing with counts = 0.
Standing standing_of(const ledger::Season& season, const std::string& block,
                     const std::string& person, std::int64_t now_ms);

}  // namespace nthtree::advice
