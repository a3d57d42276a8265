// SPDX-License-Identifier: Apache-2.0
#include "advice/advisor.h"

#include <cmath>
#include <optional>

#include "advice/internal/context.h"
#include "advice/internal/counting_tally.h"
#include "advice/internal/current.h"
#include "advice/internal/day_parts.h"
#include "advice/internal/drift_model.h"
#include "advice/internal/next_tree_model.h"
#include "advice/internal/sum_tree.h"
#include "advice/known/block_target.h"
#include "base/clock.h"
#include "ledger/kinds.h"
#include "ledger/season_span.h"

namespace nthtree::advice {
namespace {


// Whether levels elsewhere must be worked out again: only who counts how, not the signs.
bool same_means(const CountingBias& a, const CountingBias& b) {
  if (a.counters.size() != b.counters.size()) return false;
  for (const auto& [person, counter] : a.counters) {
    const auto other = b.counters.find(person);
    if (other == b.counters.end()) return false;
    if (std::fabs(other->second.log_mean - counter.log_mean) > 1e-9) return false;
  }
  return true;
}

// Leads' own counts are taken as right, so who is a lead is part of every tally.
std::string leads_of(const ledger::Season& season) {
  std::string leads;
  for (const auto& [id, person] : season.people()) {
    if (person.role == orchard::Role::lead) leads += id + "\n";
  }
  return leads;
}

}  // namespace

class Advisor::State {
 public:
  // All that is kept of a block, from its evidence to what was judged by it.
  struct Held {
    std::uint64_t revision = 0;     // of the block's changes, when it was last looked at
    std::size_t tags = 0;           // taken in: those up to cut_ms_
    ledger::FoldPosition last_tag;  // of them
    std::shared_ptr<BlockEvidence> evidence;
    CountingTally tally;
    PeopleSums sums;    // of the counts in `evidence`, once this block was asked for
    LastOfPeople last;  // of them, what other blocks are told
    bool levels_stale = true;
    std::optional<BlockContext> context;  // of the present season revision
  };

  explicit State(const ledger::Season& season) : season_(&season) {}

  const ledger::Season& season() const { return *season_; }
  const BlockContext* context(const std::string& id, std::int64_t now_ms);

 private:
  std::size_t tags_to_cut(const ledger::BlockSeason& block) const;
  static bool only_tags_added(const Held& held, const ledger::BlockSeason& block);
  void refresh_blocks();
  bool refresh(Held& held, const ledger::BlockSeason& block);
  void forget_blocks();
  void forget_what_time_changed(std::int64_t now_ms);
  void refresh_bias();
  BlockLevels levels_elsewhere(const std::string& id);

  const ledger::Season* season_;
  std::uint64_t season_revision_ = ~std::uint64_t{0};
  // Of each block of the season, in its order. What the farm's blocks say together is kept as sums
  // in the same order, so that a count costs its own block and not the farm's.
  std::map<std::string, Held> held_;
  SumTree<PeopleTally> tallies_;
  SumTree<BlockLevels> levels_;
  std::shared_ptr<const CountingBias> bias_;
  bool bias_stale_ = true, pairs_stale_ = true;  // pairs: a re-count came, or anything but tags
  // What is looked at. A cut is moved on once a day, so that what was held stays good meanwhile.
  std::int64_t begins_ms_ = 0, cut_ms_ = 0, looked_ms_ = 0;
  std::string leads_;
};

// What a phone stamped days ahead stands at the end and waits: few, so it is walked past.
std::size_t Advisor::State::tags_to_cut(const ledger::BlockSeason& block) const {
  const auto& tags = block.tag_counts;
  std::size_t count = tags.size();
  while (count > 0 && tags[count - 1].at_ms() > cut_ms_) --count;
  return count;
}

// Whether all that came since are tag counts behind those taken in.
bool Advisor::State::only_tags_added(const Held& held, const ledger::BlockSeason& block) {
  const auto changes = block.changes.since(held.revision);
  if (!held.evidence || !changes) return false;
  for (const ledger::Change& change : *changes) {
    if (change.added != ledger::body_index<ledger::TagCount>) return false;
    if (change.position < held.last_tag) return false;
  }
  // A re-count may have come before its tag: the pair is found by a full pass only.
  return block.check_counts.empty() || held.tags == block.tag_counts.size() ||
         block.check_counts.back().position < block.tag_counts[held.tags].position;
}

// Whether there was anything new.
bool Advisor::State::refresh(Held& held, const ledger::BlockSeason& block) {
  if (held.evidence && held.revision == block.changes.revision()) return false;
  const std::size_t tags = tags_to_cut(block);
  if (only_tags_added(held, block)) {
    // Contexts handed out before share the evidence: they are dropped before this is called.
    for (std::size_t i = held.tags; i < tags; ++i) {
      const auto& tag = block.tag_counts[i];
      if (ledger::is_current(tag)) held.evidence->append(*season_, tag);
    }
  } else {
    held.evidence = std::make_shared<BlockEvidence>(gather(*season_, block, begins_ms_, cut_ms_));
    held.tally = CountingTally();
    held.sums.clear();
    held.last.clear();
    pairs_stale_ = true;
  }
  held.tally.take(*season_, block, cut_ms_);
  held.revision = block.changes.revision();
  held.tags = tags;
  held.last_tag = tags > 0 ? block.tag_counts[tags - 1].position : ledger::FoldPosition{};
  held.levels_stale = true;
  bias_stale_ = true;
  return true;
}

// A block more or less has a place of its own in every sum.
void Advisor::State::refresh_blocks() {
  const auto& blocks = season_->blocks();
  if (held_.size() != blocks.size()) {
    forget_blocks();
    for (const auto& [id, block] : blocks) held_[id];
    tallies_ = SumTree<PeopleTally>(blocks.size());
    levels_ = SumTree<BlockLevels>(blocks.size());
  }
  std::size_t place = 0;
  auto held = held_.begin();
  for (const auto& [id, block] : blocks) {
    if (refresh(held->second, block)) tallies_.set(place, held->second.tally.sums());
    ++place, ++held;
  }
}

// Who misses how much is told by re-counts alone; what a tag tells are the signs.
void Advisor::State::refresh_bias() {
  if (!bias_stale_) return;
  auto people = tallies_.all().people;
  add_leads(*season_, people);
  const bool pool = pairs_stale_ || !bias_ || bias_->counters.size() != people.size();
  auto bias = std::make_shared<CountingBias>(pool ? pool_counting(people) : *bias_);
  if (!pool) look_for_signs(people, *bias);
  if (!bias_ || !same_means(*bias_, *bias)) {
    for (auto& [id, held] : held_) held.levels_stale = true;
  }
  bias_ = std::move(bias);
  bias_stale_ = pairs_stale_ = false;
}

// What all blocks but one say together.
BlockLevels Advisor::State::levels_elsewhere(const std::string& id) {
  std::size_t place = 0, here = 0;
  for (auto& [other_id, held] : held_) {
    if (other_id == id) {
      here = place;
    } else if (held.levels_stale) {
      levels_.set(place, levels_in(*held.evidence, *bias_, Movement{}, &held.last));
      held.levels_stale = false;
    }
    ++place;
  }
  return levels_.all_but(here);
}

void Advisor::State::forget_blocks() {
  held_.clear();
  bias_stale_ = pairs_stale_ = true;
}

// A new day brings in what was stamped for it; the first count of another season begins anew.
void Advisor::State::forget_what_time_changed(std::int64_t now_ms) {
  const bool new_day = now_ms - looked_ms_ > base::day_ms || now_ms < looked_ms_ - base::day_ms;
  if (!new_day && season_revision_ == season_->revision()) return;
  const std::int64_t cut_ms = cut_of_present(*season_, now_ms);
  const bool moved = new_day || (cut_ms == always) != (cut_ms_ == always);
  if (moved) looked_ms_ = now_ms, cut_ms_ = cut_ms;
  const std::int64_t begins_ms = ledger::season_begins(*season_, cut_ms_);
  if (!moved && begins_ms == begins_ms_) return;
  begins_ms_ = begins_ms;
  forget_blocks();
}

const BlockContext* Advisor::State::context(const std::string& id, std::int64_t now_ms) {
  const ledger::BlockSeason* block = season_->block(id);
  if (!block) return nullptr;
  if (season_revision_ != season_->revision()) {
    for (auto& [other_id, held] : held_) held.context.reset();
    std::string leads = leads_of(*season_);
    if (leads != leads_) forget_blocks();
    leads_ = std::move(leads);
  }
  forget_what_time_changed(now_ms);
  if (const auto held = held_.find(id); held != held_.end() && held->second.context) {
    held->second.context->now_ms = now_ms;
    return &*held->second.context;
  }
  refresh_blocks();
  refresh_bias();
  season_revision_ = season_->revision();
  Held& here = held_[id];
  BlockContext& context = here.context.emplace();
  context.season = season_;
  context.block = block;
  context.now_ms = now_ms;
  context.cut_ms = cut_ms_;
  context.here = here.evidence;
  context.bias = bias_;
  context.settings = settings_for(*season_, *block);
  context.elsewhere = std::make_shared<BlockLevels>(levels_elsewhere(id));
  StandingInput input = context.input();
  input.kept = &here.sums;
  context.model = follow_people(input);
  return &context;
}

Advisor::Advisor(const ledger::Season& season) : state_(std::make_unique<State>(season)) {}
Advisor::~Advisor() = default;

const BlockContext* Advisor::context(const std::string& id, std::int64_t now_ms) {
  return state_->context(id, now_ms);
}

const BlockStandings& Advisor::block_standings(const std::string& block, std::int64_t now_ms) {
  static const BlockStandings none;
  const BlockContext* known = context(block, now_ms);
  return known ? known->standings() : none;
}

const Standing& Advisor::standing_of(const std::string& block, const std::string& person,
                                     std::int64_t now_ms) {
  static const Standing none;
  const BlockContext* known = context(block, now_ms);
  return known ? known->standing_of(person) : none;
}

const Verdict& Advisor::verdict_of(const std::string& block, const std::string& person,
                                   std::int64_t now_ms) {
  static const Verdict none = judge({}, {});
  const BlockContext* known = context(block, now_ms);
  return known ? known->verdict_of(person) : none;
}

NextTree Advisor::next_tree(const std::string& block, const std::string& person,
                            orchard::TreeAddress from, std::int64_t now_ms) {
  const BlockContext* known = context(block, now_ms);
  return known ? next_tree_in(*known, person, from) : NextTree{};
}

TreeAdvice Advisor::this_tree(const std::string& block, const orchard::TreeAddress& tree, int spurs,
                              std::int64_t now_ms) {
  const BlockContext* known = context(block, now_ms);
  if (known && known->here->has_target) {
    return this_tree_with(known->here->target, known->settings, spurs,
                          known->here->sizes.factor_at(tree), known->here->unpruned_spurs);
  }
  return advice::this_tree(state_->season(), block, spurs);
}

Drift Advisor::drift_of(const std::string& block, const std::string& person,
                        std::int64_t now_ms) {
  const BlockContext* known = context(block, now_ms);
  return known ? drift_in(*known, person) : Drift{};
}

std::vector<CrewRow> Advisor::crew_board(const std::string& block, std::int64_t now_ms) {
  const BlockContext* known = context(block, now_ms);
  return known ? crew_in(*known) : std::vector<CrewRow>{};
}

Acceptance Advisor::accept_block(const std::string& block, std::int64_t now_ms) {
  const BlockContext* known = context(block, now_ms);
  return known ? accept_in(*known) : advice::accept_block(state_->season(), block, now_ms);
}

}  // namespace nthtree::advice
