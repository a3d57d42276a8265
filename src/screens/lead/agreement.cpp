// SPDX-License-Identifier: Apache-2.0
// How each person's own counts compare with the lead's re-counts of the same trees.
#include <algorithm>
#include <cmath>

#include "ledger/current.h"
#include "screens/each_screen.h"
#include "screens/parts/entries.h"
#include "screens/parts/frame.h"
#include "screens/parts/parts.h"
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
void limits_part(Frame& frame) {
  const advice::CountAgreement& crew =
      frame.cache.agreements(frame.season, frame.now_ms()).crew;
  if (!crew.known) return;
  small_print(frame.ui, tr("agreement.limits", {{"low", of_100(crew.low)},
                                                {"high", of_100(crew.high)}}));
}

void pairs_part(Frame& frame) {
  const ledger::BlockSeason* block = frame.block();
  if (!block) return;
  bool titled = false;
  for (const auto& entry : ledger::current_newest_first(block->check_counts)) {
    const TagEntry* tag = tag_of(*block, entry.body.tree);
    if (!tag) continue;
    if (!titled) heading(frame.ui, tr("agreement.pairs"));
    titled = true;
    fact(frame.ui, person_text(frame.season, tag->author) + ", " + tree_in_text(entry.body.tree),
         tr("agreement.pair",
            {{"tag", whole(tag->body.spurs_after_mend.value_or(tag->body.spurs))},
             {"check", whole(entry.body.spurs)}}));
  }
}

void people_part(Frame& frame, const advice::CountingBias& bias) {
  for (const auto& [id, counter] : bias.counters) {
    if (counter.counts == 0) continue;
    std::string detail = counter.pairs > 0 ? misses_text(counter) + ", " +
                                                 tr_count("pairs_n", counter.pairs)
                                           : tr("agreement.never");
    if (!counter.signs.empty()) detail += ". " + signs_text(counter);
    if (choice_row(frame.ui, {.id = "person/" + id, .label = person_text(frame.season, id),
                              .detail = detail,
                              .glyph = counter.signs.empty() ? Glyph::person : Glyph::caution})) {
      frame.go(ScreenId::standing, frame.block_id(), id);
    }
  }
}

}  // namespace

void draw_agreement(Frame& frame) {
  open(frame, {.key = "agreement", .title = tr("agreement.title"), .full = true});
  const advice::CountingBias& bias = frame.cache.bias(frame.season, frame.now_ms());
  const bool signs = std::any_of(bias.counters.begin(), bias.counters.end(),
                                 [](const auto& one) { return !one.second.signs.empty(); });
  if (bias.pairs == 0 && !signs) {
    if (empty_state(frame.ui, {.id = "none", .glyph = Glyph::level,
                               .text = tr("agreement.empty"), .action = tr("worklist.title")})) {
      frame.go(ScreenId::worklist);
    }
    finish(frame);
    return;
  }
  if (bias.pairs > 0) {
    paragraph(frame.ui, crew_text(bias));
    limits_part(frame);
  } else {
    paragraph(frame.ui, tr("agreement.empty"));
  }
  const auto people = [&] { people_part(frame, bias); };
  const auto pairs = [&] { pairs_part(frame); };
  if (frame.ui.desk()) {
    frame.ui.row({1, 1}, people, pairs);
  } else {
    people();
    pairs();
  }
  finish(frame);
}

}  // namespace nthtree::screens
