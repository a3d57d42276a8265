// SPDX-License-Identifier: Apache-2.0
#include "advice/internal/context.h"

#include <algorithm>
#include <optional>

#include "advice/internal/current.h"
#include "advice/internal/sum_tree.h"
#include "ledger/season_span.h"
#include "ledger/written_ahead.h"

namespace nthtree::advice {
namespace {

// Who wrote what is later than a moment, until it is plain that more than one phone did.
class LaterPhones {
 public:
  template <typename T>
  void look(const ledger::Entries<T>& entries, std::int64_t after_ms) {
    for (auto it = entries.rbegin(); it != entries.rend() && it->at_ms() > after_ms; ++it) {
      any_ = true;
      if (!first_) first_ = it->position.id.device;
      if (*first_ != it->position.id.device) several_ = true;
      if (several_) return;
    }
  }
  // Phones that wrote nothing later, as far as the first entries of the lists tell.
  template <typename T>
  void look_for_others(const ledger::Entries<T>& entries) {
    for (const auto& entry : entries) {
      if (!first_ || others_) return;
      others_ = *first_ != entry.position.id.device;
    }
  }
  bool any() const { return any_; }
  // One phone of several is ahead by itself: its clock is, not the day.
  bool one_of_several() const { return any_ && !several_ && others_; }

 private:
  std::optional<ledger::DeviceKey> first_;
  bool any_ = false, several_ = false, others_ = false;
};

template <typename Visit>
void each_work_list(const ledger::BlockSeason& block, Visit visit) {
  visit(block.tag_counts);
  visit(block.check_counts);
  visit(block.work_spells);
  visit(block.advice);
  visit(block.part_counts);
  visit(block.part_checks);
  visit(block.eye_scores);
}

}  // namespace

namespace {

// What is written later than the present can be.
LaterPhones later_than(const ledger::Season& season, std::int64_t now_ms) {
  LaterPhones later;
  for (const auto& [id, block] : season.blocks()) {
    each_work_list(block, [&](const auto& entries) {
      later.look(entries, now_ms + ledger::clock_slack_ms);
    });
  }
  if (!later.any()) return later;
  for (const auto& [id, block] : season.blocks()) {
    each_work_list(block, [&](const auto& entries) { later.look_for_others(entries); });
  }
  return later;
}

}  // namespace

std::int64_t cut_for(const ledger::Season& season, std::int64_t now_ms) {
  const LaterPhones later = later_than(season, now_ms);
  if (later.any() && !later.one_of_several()) return now_ms;
  return now_ms + ledger::clock_slack_ms;
}

std::int64_t cut_of_present(const ledger::Season& season, std::int64_t now_ms) {
  return later_than(season, now_ms).one_of_several() ? now_ms + ledger::clock_slack_ms : always;
}

StandingInput BlockContext::input() const {
  StandingInput input;
  input.here = here.get();
  input.elsewhere = elsewhere.get();
  input.bias = bias.get();
  input.tolerance_fraction = settings.tolerance_fraction;
  input.trees_pruned = trees_pruned_by(*block, cut_ms);
  input.trees_per_count = std::max(1, settings.stride);
  return input;
}

const BlockStandings& BlockContext::standings() const {
  if (!standings_) standings_ = standings_in(model);
  return *standings_;
}

const Standing& BlockContext::standing_of(const std::string& person) const {
  const auto known = people_.find(person);
  if (known != people_.end()) return known->second;
  return people_[person] = standing_in(model, person);
}

const Verdict& BlockContext::verdict_of(const std::string& person) const {
  const auto known = verdicts_.find(person);
  if (known != verdicts_.end()) return known->second;
  return verdicts_[person] = verdict_for(standing_of(person), settings);
}

const Planting& BlockContext::planting() const {
  if (!planting_) planting_ = planting_of(*block, cut_ms);
  return *planting_;
}

const RowsPruned& BlockContext::rows() const {
  if (!rows_) rows_ = rows_pruned(*season, block->id, cut_ms);
  return *rows_;
}

const SpreadByDay& BlockContext::spread_by_day() const {
  if (!spread_by_day_) spread_by_day_.emplace(input());
  return *spread_by_day_;
}

BlockContext make_context(const ledger::Season& season, const ledger::BlockSeason& block,
                          std::int64_t now_ms, std::int64_t cut_ms) {
  BlockContext context;
  context.season = &season;
  context.block = &block;
  context.now_ms = now_ms;
  context.cut_ms = cut_ms;
  const std::int64_t since = ledger::season_begins(season, cut_ms);
  context.here = std::make_shared<BlockEvidence>(gather(season, block, since, cut_ms));
  context.bias = std::make_shared<CountingBias>(counting_bias(season, cut_ms));
  SumTree<BlockLevels> levels(season.blocks().size());
  std::size_t place = 0, here = 0;
  for (const auto& [id, other] : season.blocks()) {
    if (id == block.id) {
      here = place;
    } else if (!other.tag_counts.empty() || !other.part_counts.empty()) {
      levels.set(place, levels_in(gather(season, other, since, cut_ms), *context.bias, {}));
    }
    ++place;
  }
  context.elsewhere = std::make_shared<BlockLevels>(levels.all_but(here));
  context.settings = settings_for(season, block);
  context.model = follow_people(context.input());
  return context;
}

}  // namespace nthtree::advice
