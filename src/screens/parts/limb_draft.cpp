// SPDX-License-Identifier: Apache-2.0
#include "screens/parts/limb_draft.h"

#include "advice/next/minutes_plan.h"
#include "advice/next/sampling_plan.h"
#include "ledger/current.h"
#include "orchard/limits.h"

namespace nthtree::screens {
namespace {

constexpr int usual_limbs_counted = 5;  // of a tree, where no minutes are planned

}  // namespace

void draw_limbs(CountDraft& draft, const ledger::Season& season, std::int64_t now_ms) {
  int limbs = 0;
  for (const char digit : draft.digits) limbs = 10 * limbs + (digit - '0');
  if (const orchard::LimbDraw winter = winters_draw(season, draft);
      winter.limbs > 0 && (draft.digits.empty() || limbs == winter.limbs)) {
    number_again(draft);
    draft.draw = winter;
    return;
  }
  if (!orchard::limits::limbs_numbered.holds(limbs)) return;
  const advice::MinutesPlan plan =
      advice::plan_minutes(season, draft.block, advice::minutes_wish(season), now_ms);
  const int wanted = plan.limbs > 0 ? plan.limbs : usual_limbs_counted;
  number_again(draft);
  draft.draw = orchard::draw_limbs(
      limbs, wanted, orchard::seed_of_tree(advice::seed_of(draft.block), draft.tree));
}

void number_again(CountDraft& draft) {
  draft.limbs = {0};
  draft.steps.clear();
  draft.digits.clear();
  draft.second_digits.clear();
  draft.on_second = false;
  draft.draw = {};
}

orchard::LimbDraw winters_draw(const ledger::Season& season, const CountDraft& draft) {
  if (draft.purpose != CountPurpose::part_clusters) return {};
  return drawn_before(season, draft);
}

orchard::LimbDraw drawn_before(const ledger::Season& season, const CountDraft& draft) {
  orchard::LimbDraw draw;
  const ledger::BlockSeason* block = season.block(draft.block);
  if (!block) return draw;
  for (const auto& entry : ledger::current(block->part_counts)) {
    if (entry.body.tree == draft.tree) draw = entry.body.counted.draw;
  }
  return draw;
}

}  // namespace nthtree::screens
