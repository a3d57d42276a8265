// SPDX-License-Identifier: Apache-2.0
//
// What a record can say: one plain struct a kind. The wire names and ranges of every field stand
// once, in body_fields.cpp, which reading, writing and the schema share; what the season does with
// a kind stands in kinds.h. Of settings the latest record of a key() wins as a whole.
//
// Counts are spurs on one tree unless the name says otherwise. Block and person ids refer to
// records that may not have arrived yet.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "ledger/year_bodies.h"
#include "orchard/block.h"
#include "orchard/limb_draw.h"
#include "orchard/person.h"
#include "orchard/varieties.h"

namespace nthtree::ledger {

// The farm and its rates.
struct FarmSettings {
  std::string name;
  bool us_units = false;
  int utc_offset_minutes = 0;     // of the farm's clock, where it has no rule
  double hours_per_day = 8;
  std::string currency;           // as written beside amounts: "$", "CAD"; empty: none
  double wage_per_hour = 0;       // in the farm's own money
  double fruit_price_per_kg = 0;  // the same
  double hand_thinning_fruitlets_per_hour = 1000;
  // Small fruit and bloom lost next year by 1,000 spurs too many; 0 where the farm has set none.
  double crowding_cost_per_1000_spurs = 0;
  double sureness = 0.95;            // how sure before advice to change, 0.8 … 0.99
  double too_many_cost_ratio = 1.0;  // cost of one spur too many against one too few
  std::string time_zone;  // the rule of the farm's clock, see base/time_zone.h; may be empty
  std::optional<double> pruner_minutes_per_day;  // of counting, as planned
  std::optional<double> lead_minutes_per_day;    // of the lead's walk, the same
  std::string key() const { return {}; }
  friend bool operator==(const FarmSettings&, const FarmSettings&) = default;
};

struct BlockSettings {
  orchard::Block block;
  std::string key() const { return block.id; }
  friend bool operator==(const BlockSettings&, const BlockSettings&) = default;
};

struct PersonSettings {
  orchard::Person person;
  std::string key() const { return person.id; }
  friend bool operator==(const PersonSettings&, const PersonSettings&) = default;
};

enum class BranchPosition { upper, lower };

// Buds of one branch cut open. Lateral buds on one-year wood are tallied apart and not used.
struct BudSample {
  std::string block;
  orchard::TreeAddress tree;
  BranchPosition position = BranchPosition::upper;
  int spur_floral = 0, spur_vegetative = 0;
  int terminal_floral = 0, terminal_vegetative = 0;  // terminal buds of short shoots
  int lateral_left_out = 0;
  int floral() const { return spur_floral + terminal_floral; }
  int vegetative() const { return spur_vegetative + terminal_vegetative; }
};

// Floral buds of one tree cut open after a frost: green inside, or brown.
struct FrostSample {
  std::string block;
  orchard::TreeAddress tree;
  int bbch = 0;  // the growth stage they were at
  int alive = 0, killed = 0;
};

struct BeforeCount {  // an unpruned tree
  std::string block;
  orchard::TreeAddress tree;
  int spurs = 0;
};

// A pruner's own count of a tree they have just pruned (the author), as written on the tag.
struct TagCount {
  std::string block;
  orchard::TreeAddress tree;
  int spurs = 0;                         // before any mend: what the standing uses
  std::optional<int> spurs_after_mend;   // counted again after taking more, on the spot
  std::vector<int> limbs;                // where it was counted limb by limb; sums to spurs
  int seconds = 0;                       // that the counting took; 0 where not known
  std::optional<int> mend_seconds;       // from the count until more was taken
};

struct CheckCount {  // the lead's blind re-count of a tagged tree (the author is the lead)
  std::string block;
  orchard::TreeAddress tree;
  int spurs = 0;
  int seconds = 0;
};

// Some limbs of a tree, drawn by the app (orchard/limb_draw.h). A kind of its own, so that a phone
// that knows whole counts alone keeps it, passes it on and never takes it for one.
struct LimbCounts {
  orchard::LimbDraw draw;
  std::vector<int> limbs;  // spurs, or floral clusters, on each drawn limb, from the bottom up
  int seconds = 0;
  double on_tree() const { return orchard::tree_of_limbs(limbs, draw.limbs); }
};

struct PartCount {  // by the pruner, as TagCount
  std::string block;
  orchard::TreeAddress tree;
  LimbCounts counted;
};

struct PartCheck {  // the lead's blind re-count of the same limbs, as CheckCount
  std::string block;
  orchard::TreeAddress tree;
  LimbCounts counted;
};

// What somebody said that they see on a tree, before it is counted, or of one that is not.
struct EyeScore {
  std::string block;
  orchard::TreeAddress tree;
  std::string person;  // whose tree it is; empty: the author's own
  int spurs = 0;       // as the dial read
  int seconds = 0;
};

// How large a tree is for its block, by eye or by girth.
enum class SizeClass { weak, middling, strong };
struct TreeSize {
  std::string block;
  orchard::TreeAddress tree;
  SizeClass size = SizeClass::middling;
  std::optional<double> girth_mm;  // where somebody measured
};

enum class Direction { harder, lighter, on_target };

// What the lead told a pruner. Opens a new segment of that pruner's standing in the block.
struct Advice {
  std::string block;
  std::string person;
  Direction direction = Direction::on_target;
  int spurs_per_tree_to_change = 0;  // how many fewer (harder) or more (lighter) to leave
  std::string note = {};   // what else was said, in the lead's words
};

struct WorkSpell {  // for the pace: trees pruned by the author in a stretch of work
  std::string block;
  int trees = 0;
  int minutes = 0;
};

enum class BlockStep { started, finished, accepted, revisit };
struct BlockProgress {
  std::string block;
  BlockStep step = BlockStep::started;
};

// The growth stage seen in a block, BBCH 00 … 69 (pome fruit).
struct GrowthStage {
  std::string block;
  int bbch = 0;
};

// Second pass, green tip to bloom: floral clusters are visible and counted as such.
struct ClusterCount {
  std::string block;
  orchard::TreeAddress tree;
  int floral_clusters = 0;
  int vegetative_spurs = 0;
};

// The same on some limbs: floral clusters on each, spurs without flowers on all of them together.
struct PartClusters {
  std::string block;
  orchard::TreeAddress tree;
  LimbCounts counted;
  int vegetative_spurs = 0;
};

struct HarvestCount {
  std::string block;
  orchard::TreeAddress tree;
  int fruits = 0;
  std::optional<double> grams_per_fruit;  // mean, where somebody weighed
};

struct ReturnBloom {  // the next spring, the same sampled trees
  std::string block;
  orchard::TreeAddress tree;
  int floral_spurs = 0;
  int spurs = 0;
};

// A counting exercise: several people, the same trees, more than once.
struct ExerciseCount {
  std::string exercise;
  std::string block;
  orchard::TreeAddress tree;
  int round = 1;
  int spurs = 0;
};

// A row, or a part of one, that somebody has pruned.
enum class RowSide { left, right };
struct RowDone {
  std::string block;
  int row = 1;
  std::string person;      // who pruned it; the author where empty
  std::optional<int> first_tree, last_tree;  // of a part, both included; empty: the row's end
  std::optional<RowSide> side;  // where two people share a row, one side each
  std::string day;         // "2026-02-03" where it is entered late; empty: the record's own day
};

// What stands at an address instead of a bearing tree, or that one bears after all.
enum class TreeKind { bearing, missing, replant, pollinizer, other_variety };
struct TreeState {
  std::string block;
  orchard::TreeAddress tree;
  TreeKind is = TreeKind::bearing;
};

// Takes the record named by `replaces` out of the season.
struct Withdrawal {
  std::string reason;
};

// What a farm sets of a variety's starting values. A record that sets nothing gives the values back
// as they came.
struct VarietySettings {
  orchard::VarietyChange variety;
  std::string key() const { return orchard::variety_key(variety.name); }
  friend bool operator==(const VarietySettings&, const VarietySettings&) = default;
};

// A kind, or a version of the record form, that this program does not know.
struct Unknown {};

}  // namespace nthtree::ledger
