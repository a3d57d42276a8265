// SPDX-License-Identifier: Apache-2.0
// How each person's own counts compare with the lead's re-counts of the same trees.
#include <algorithm>
#include <cmath>

#include "ledger/live.h"
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

std::string crew_text(const advice::CountingBias& bias) {
  const double low = missed_share(bias.crew_ratio.low), high = missed_share(bias.crew_ratio.high);
  const double missed = missed_share(bias.crew_ratio.value);
  const widgets::Arguments numbers = {{"n", of_100(std::fabs(missed))},
                                      {"low", of_100(missed > 0 ? low : -high)},
                                      {"high", of_100(missed > 0 ? high : -low)}};
  return missed > 0 ? tr("agreement.crew", numbers) : tr("agreement.crew_over", numbers);
}

// What a single tag is worth, whoever counted it.
void limits_part(Scene& scene) {
  const advice::CountAgreement& crew =
      scene.reckoning.agreements(scene.season, scene.now_ms()).crew;
  if (!crew.known) return;
  small_print(scene.ui, tr("agreement.limits", {{"low", of_100(crew.low)},
                                                {"high", of_100(crew.high)}}));
}

void pairs_part(Scene& scene) {
  const ledger::BlockSeason* block = scene.block();
  if (!block) return;
  bool titled = false;
  for (const auto& entry : ledger::live_newest_first(block->check_counts)) {
    const TagEntry* tag = tag_of(*block, entry.body.tree);
    if (!tag) continue;
    if (!titled) heading(scene.ui, tr("agreement.pairs"));
    titled = true;
    fact(scene.ui, person_text(scene.season, tag->author) + ", " + tree_in_text(entry.body.tree),
         tr("agreement.pair",
            {{"tag", whole(tag->body.spurs_after_mend.value_or(tag->body.spurs))},
             {"check", whole(entry.body.spurs)}}));
  }
}

void people_part(Scene& scene, const advice::CountingBias& bias) {
  for (const auto& [id, counter] : bias.counters) {
    if (counter.counts == 0) continue;
    std::string detail = counter.pairs > 0 ? misses_text(counter) + ", " +
                                                 tr_count("pairs_n", counter.pairs)
                                           : tr("agreement.never");
    if (!counter.signs.empty()) detail += ". " + signs_text(counter);
    if (choice_row(scene.ui, {.id = "person/" + id, .label = person_text(scene.season, id),
                              .detail = detail,
                              .glyph = counter.signs.empty() ? Glyph::person : Glyph::caution})) {
      scene.go(ScreenId::standing, scene.block_id(), id);
    }
  }
}

}  // namespace

void draw_agreement(Scene& scene) {
  open(scene, {.key = "agreement", .title = tr("agreement.title"), .full = true});
  const advice::CountingBias& bias = scene.reckoning.bias(scene.season, scene.now_ms());
  const bool signs = std::any_of(bias.counters.begin(), bias.counters.end(),
                                 [](const auto& one) { return !one.second.signs.empty(); });
  if (bias.pairs == 0 && !signs) {
    if (empty_state(scene.ui, {.id = "none", .glyph = Glyph::level,
                               .text = tr("agreement.empty"), .action = tr("worklist.title")})) {
      scene.go(ScreenId::worklist);
    }
    finish(scene);
    return;
  }
  if (bias.pairs > 0) {
    paragraph(scene.ui, crew_text(bias));
    limits_part(scene);
  } else {
    paragraph(scene.ui, tr("agreement.empty"));
  }
  const auto people = [&] { people_part(scene, bias); };
  const auto pairs = [&] { pairs_part(scene); };
  if (scene.ui.desk()) {
    scene.ui.row({1, 1}, people, pairs);
  } else {
    people();
    pairs();
  }
  finish(scene);
}

}  // namespace nthtree::screens
