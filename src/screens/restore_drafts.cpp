// SPDX-License-Identifier: Apache-2.0
// Apart from the other intents, which need advice: what a phone kept is read without it.
#include <algorithm>
#include <numeric>

#include "screens/intents.h"

namespace nthtree::screens {
namespace {

bool already_saved(const CountDraft& draft, const ledger::Season& season,
                   const std::string& person) {
  const ledger::BlockSeason* block = season.block(draft.block);
  if (!block || draft.started_ms == 0) return false;
  const auto in = [&](const auto& entries, auto spurs_of) {
    return std::any_of(entries.begin(), entries.end(), [&](const auto& entry) {
      return entry.author == person && entry.body.tree == draft.tree &&
             entry.at_ms() >= draft.started_ms && spurs_of(entry.body) == draft.spurs();
    });
  };
  const auto spurs = [](const auto& body) { return body.spurs; };
  const auto limb_sum = [](const auto& body) {
    return std::accumulate(body.counted.limbs.begin(), body.counted.limbs.end(), 0);
  };
  switch (draft.purpose) {
    case CountPurpose::tag:
      return in(block->tag_counts, spurs);
    case CountPurpose::check:
      return in(block->check_counts, spurs);
    case CountPurpose::before:
      return in(block->before_counts, spurs);
    case CountPurpose::clusters:
      return in(block->cluster_counts, [](const auto& b) { return b.floral_clusters; });
    case CountPurpose::harvest:
      return in(block->harvest_counts, [](const auto& b) { return b.fruits; });
    case CountPurpose::exercise:
      return in(block->exercise_counts, spurs);
    case CountPurpose::return_bloom:
      return in(block->return_bloom, [](const auto& b) { return b.floral_spurs; });
    case CountPurpose::part:
      return in(block->part_counts, limb_sum);
    case CountPurpose::part_check:
      return in(block->part_checks, limb_sum);
    case CountPurpose::part_clusters:
      return in(block->part_clusters, limb_sum);
  }
  return false;
}

}  // namespace

void restore_drafts(Session& session, const ledger::Season& season, const std::string& person,
                    std::string_view text) {
  std::optional<Drafts> drafts = read_drafts(text);
  if (!drafts) return;
  if (drafts->count && already_saved(*drafts->count, season, person)) drafts->count.reset();
  if (person == session.person)
    session.drafts = *drafts;
  else
    session.parked[person] = *drafts;
}

}  // namespace nthtree::screens
