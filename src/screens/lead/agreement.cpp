// SPDX-License-Identifier: Apache-2.0
// How each person's own counts compare with the lead's re-counts of the same trees.
#include <cmath>

#include "screens/each_screen.h"
#include "screens/parts/entries.h"
#include "screens/parts/parts.h"
#include "screens/parts/scene.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

// check ÷ tag as "misses n in 100" of what is there.
double missed_share(double ratio) { return ratio > 0 ? 1 - 1 / ratio : 0; }

std::string misses_text(const advice::Counter& counter) {
  const double missed = missed_share(counter.ratio.value);
  const std::string n = of_100(std::fabs(missed));
  if (std::fabs(missed) < 0.015) return tr("agreement.even");
  return missed > 0 ? tr("agreement.misses", {{"n", n}}) : tr("agreement.overs", {{"n", n}});
}

std::string sign_text(advice::CountingSign sign) {
  switch (sign) {
    case advice::CountingSign::copies: return tr("agreement.sign.copies");
    case advice::CountingSign::digits: return tr("agreement.sign.digits");
    case advice::CountingSign::too_even: return tr("agreement.sign.too_even");
    case advice::CountingSign::ratio_moved: return tr("agreement.sign.ratio_moved");
    case advice::CountingSign::misses_many: break;
  }
  return tr("agreement.sign.misses_many");
}

std::string crew_text(const advice::CountingBias& bias) {
  const double low = missed_share(bias.crew_ratio.low), high = missed_share(bias.crew_ratio.high);
  const double missed = missed_share(bias.crew_ratio.value);
  const widgets::Arguments numbers = {{"n", of_100(std::fabs(missed))},
                                      {"low", of_100(missed > 0 ? low : -high)},
                                      {"high", of_100(missed > 0 ? high : -low)}};
  return missed > 0 ? tr("agreement.crew", numbers) : tr("agreement.crew_over", numbers);
}

void pairs_part(Scene& scene) {
  const ledger::BlockSeason* block = scene.block();
  if (!block) return;
  bool titled = false;
  for (auto it = block->check_counts.rbegin(); it != block->check_counts.rend(); ++it) {
    if (it->withdrawn) continue;
    const TagEntry* tag = tag_of(*block, it->body.tree);
    if (!tag) continue;
    if (!titled) heading(scene.ui, tr("agreement.pairs"));
    titled = true;
    fact(scene.ui, person_text(scene.season, tag->author) + ", " + tree_in_text(it->body.tree),
         tr("agreement.pair",
            {{"tag", whole(tag->body.spurs_after_mend.value_or(tag->body.spurs))},
             {"check", whole(it->body.spurs)}}));
  }
}

}  // namespace

void draw_agreement(Scene& scene) {
  open(scene, {.key = "agreement", .title = tr("agreement.title")});
  const advice::CountingBias& bias = scene.reckoning.bias(scene.season, scene.now_ms());
  if (bias.pairs == 0) {
    if (empty_state(scene.ui, {.id = "none", .glyph = Glyph::level,
                               .text = tr("agreement.empty"), .action = tr("worklist.title")})) {
      scene.go(ScreenId::worklist);
    }
    finish(scene);
    return;
  }
  paragraph(scene.ui, crew_text(bias));
  for (const auto& [id, counter] : bias.counters) {
    if (counter.counts == 0) continue;
    std::string detail = misses_text(counter) + ", " + tr_count("pairs_n", counter.pairs);
    for (const advice::CountingSign sign : counter.signs) detail += ". " + sign_text(sign);
    if (choice_row(scene.ui, {.id = "person/" + id, .label = person_text(scene.season, id),
                              .detail = detail,
                              .glyph = counter.signs.empty() ? Glyph::person : Glyph::caution})) {
      scene.go(ScreenId::standing, scene.block_id(), id);
    }
  }
  pairs_part(scene);
  finish(scene);
}

}  // namespace nthtree::screens
