// SPDX-License-Identifier: Apache-2.0
//
// The counts of one block, sorted by person, as shares of the target. Then the level of one
// person, tracked through them.
//
// Counts enter as they are, not as logarithms: their mean is what the target is about, a tree of
// none does no harm, and for counts of gamma or negative binomial shape the plain mean is the best
// estimate of it (at a coefficient of variation of 45 % a log-normal loses nothing to speak of
// either). Only the level is kept as a logarithm, where bias and target multiply in.
//
// A level is followed with a local level model: it stays put inside a segment of a day, may have
// moved a little overnight, and moves by about what was told when advice was given (A. C. Harvey,
// Forecasting, Structural Time Series Models and the Kalman Filter, 1989, ch. 2). A count's
// variance is relative to the level, not to the count: were a low count thought to be the more
// exact, one low tree would outweigh a steady person's past, and means would come out low.
#pragma once

#include <cstdint>
#include <map>
#include <span>
#include <string>
#include <vector>

#include "advice/internal/counts.h"
#include "advice/known/counting_bias.h"
#include "advice/known/day_spread.h"
#include "advice/known/eyes.h"
#include "advice/known/level_steps.h"
#include "advice/known/limbs.h"
#include "advice/known/sizes.h"
#include "ledger/season.h"
#include "orchard/target.h"

namespace nthtree::advice {

class CountSums;  // count_sums.h
class LastSums;

// Of the target: levels below are not told apart.
inline constexpr double least_share = 0.02;

// Squares of counts about their mean, relative to it, inside each person's segment of a day.
struct SpreadSums {
  double squares = 0, df = 0;
  double limb_squares = 0;    // taken off the squares: what limbs left out are expected to add
  double products = 0;        // of neighbours, for the autocorrelation
  double pairs = 0;
  // Of rows with two counts and more: about their own mean, and their means about the segment's;
  // rows_counts is n0 (rows_df), the counts a row that tell rows apart.
  double row_squares = 0, row_df = 0, rows_squares = 0, rows_df = 0, rows_counts = 0;
  double bare = 0, counts = 0;         // trees with next to nothing on them, of all
  void add(const SpreadSums& other);
  void weaken(double df_most);  // the same spread, known as if from no more than that
};

struct BlockEvidence {
  std::string block;
  bool has_target = false;
  orchard::Target target;
  double target_spurs = 0;    // spurs to leave on a tree, whole
  double target_log_sd = 0;
  std::map<std::string, PersonEvidence> people;
  SpreadSums unpruned;        // of the trees counted before pruning
  double unpruned_spurs = 0;  // their mean, of this season's; 0 where none was counted
  LimbSums limbs;             // how limbs of one tree differ, of all trees counted limb by limb
  SizeClasses sizes;
  std::vector<ScorePoint> scores;  // in time order, people's counts paired where they have any
  int branches_more = 0;      // buds to cut until the target is known well enough to judge by

  // A tag count that is later than all before it and not yet re-counted.
  void append(const ledger::Season& season, const ledger::Entry<ledger::TagCount>& entry);
};

// counts before `since_ms` are left out: those of another season (ledger/season_span.h).
BlockEvidence gather(const ledger::Season& season, const ledger::BlockSeason& block,
                     std::int64_t since_ms, std::int64_t now_ms);

// How levels move, on the log scale. Ours; METHODS.md says how they were chosen.
struct Movement {
  double day_sd = 0.06;           // overnight; so much for every night between two counts …
  int nights_most = 7;            // … up to these: people's hands do not change without end
  double block_sd = 0.10;         // from one block to another
  double advice_taken = 0.75;     // share of what was told that is done …
  double advice_share_sd = 0.50;  // … give or take this share of it
  double advice_sd = 0.06;        // and this much more

  // Nights that loosen a level from a count on `day` to one on `later`.
  int nights_between(std::int64_t day, std::int64_t later) const;
};

// What the limbs left out put into a count, relative; 0 for a whole tree.
inline double open_of(const CountPoint& point, double limb_variance) {
  return part_variance(limb_variance, point.more().limbs, point.more().limbs_in_tree);
}

struct Spread {               // tree to tree
  double variance = 0.0676;   // relative: the coefficient of variation squared
  double df = 8;              // how well it is known, as degrees of freedom
  double autocorrelation = 0; // between counts that follow each other
  double row_share = 0;       // of the variance, what lies between rows
  double rows_df = 0;         // rows compared, less one for each person's segment
  double row_doubt = 1;       // chance of rows as different if they were all alike
  double bare_share = 0;      // of trees, those with next to nothing on them
  double pairs = 0;           // of neighbours that were compared
  double limb_variance = limb_cv_prior * limb_cv_prior;  // between limbs of a tree, relative
  double counts_a_row = 1;    // of this person, weighed by counts
  double rows_seen = 1;       // by this person, as if all rows held as many counts
  // Counts that follow each other alike say less: this many times the variance.
  // So do counts of one row where rows differ (design effect, L. Kish, Survey Sampling, 1965).
  double inflation() const {
    const double serial = (1 + autocorrelation) / (1 - autocorrelation);
    const double rows = 1 + (counts_a_row - 1) * row_share;
    return serial > rows ? serial : rows;
  }
  double log_sd() const;      // of a log-normal with that coefficient of variation
  double open_of(const CountPoint& point) const { return advice::open_of(point, limb_variance); }
  // Of one count about the level, relative to it: trees, and the limbs left out.
  double of_one(const CountPoint& point) const {
    return variance + open_of(point);
  }
  // The same for the filter: counts alike weigh less, and looks have a variance of their own.
  double variance_of(const CountPoint& point) const {
    if (point.is_look()) return point.more().look_variance;
    return variance * inflation() + open_of(point);
  }
};

// What a person's own counts say of their level now. Flat start: no count, variance infinite.
struct Track {
  double mean = 0;            // of ln(mean true spurs ÷ target)
  double variance = 1e9;      // sampling only; counting bias and target are apart
  double unchecked_share = 1; // of the weight, what rests on tag counts alone
  int counts = 0, counts_before = 0, checks = 0, checks_before = 0;
  int looks = 0, part_counts = 0;
  double looks_precision = 0; // of what the looks of this segment said, before the nights faded it
  double open = 0;            // of its counts, what limbs left out put into them, added up
  double mean_open() const { return counts > 0 ? open / counts : 0; }
  std::int64_t segment_start_ms = 0, last_ms = 0;
  bool after_advice = false;
  AdvicePoint advised;
  int last_spurs = 0;
  double last_surprise = 0;
};

struct TrackStart {           // what is known before the first count here
  double mean = 0;
  double variance = 1e9;
};

// sums: the days from the first on, which saves looking at each of their counts.
Track track(const CountRun& run, double target_spurs, double bias_log_mean, const Spread& spread,
            const Movement& movement, const TrackStart& start,
            std::span<const DayCounts> sums = {});

// The same, and every step of it.
Track track_with_steps(const CountRun& run, double target_spurs, double bias_log_mean,
                       const Spread& spread, const Movement& movement, const TrackStart& start,
                       std::vector<LevelStep>& steps);

// limb_variance: between the limbs of a tree (limbs.h), so that what limbs left out put into counts
// is not taken for a difference between trees. days: takes each segment of a day with two counts or
// more, where given.
SpreadSums spread_sums(const CountRun& run, double bias_log_mean,
                       double limb_variance = limb_cv_prior * limb_cv_prior,
                       std::vector<DaySpread>* days = nullptr);

// The same person with looks among the counts, in time order.
PersonEvidence with_looks(const PersonEvidence& person, const std::vector<CountPoint>& looks);

// Tree to tree, before any is counted: a coefficient of variation near 29 %, known as if from five
// trees. Published spreads for apple trees run from 15 to 45 % (METHODS.md); too small a guess
// tells too soon.
inline constexpr double prior_spread_cv = 0.29, prior_spread_df = 5;
// What a person's spread is drawn towards the block's with: as if known from so many trees.
double weight_of_block(const Spread& block);

// The block's spread with a prior behind it, and one person's drawn towards it.
Spread block_spread(const SpreadSums& block);
Spread person_spread(const CountSums& person, const Spread& block);

// Where somebody stood in some blocks, weighed by how well each level is known.
struct WeighedLevel {
  double precision = 0, sum = 0;
  void add(const WeighedLevel& other);
  TrackStart start() const;  // flat where nothing is known
};

// What blocks teach of another: where each person stood, loosened by what changes from block to
// block, and the spread of their trees. Adds up over blocks.
struct BlockLevels {
  std::map<std::string, WeighedLevel> people;
  SpreadSums spread;
  LimbSums limbs;
  EyeTable eyes;
  void add(const BlockLevels& other);
};
inline const BlockLevels nothing_elsewhere;

// Of one block; empty where nobody counted. kept: where sums of each person's last counts are kept
// from one call to the next; null: they are made anew.
BlockLevels levels_in(const BlockEvidence& block, const CountingBias& bias,
                      const Movement& movement, std::map<std::string, LastSums>* kept = nullptr);

}  // namespace nthtree::advice
