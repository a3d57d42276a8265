// SPDX-License-Identifier: Apache-2.0
// The numbers behind a block, for those who know their names: how counts are spread, when enough
// are counted by the books and by our own rule, what the buds cut open are worth.
#include <cmath>

#include "screens/each_screen.h"
#include "screens/parts/entries.h"
#include "screens/parts/frame.h"
#include "screens/parts/parts.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

std::string shape_text(const advice::TagSpread& spread) {
  switch (spread.shape) {
    case advice::SpreadShape::poisson: return tr("spread.shape.poisson");
    case advice::SpreadShape::log_normal: return tr("spread.shape.log_normal");
    case advice::SpreadShape::negative_binomial:
      return tr("spread.shape.negative_binomial", {{"k", number(spread.k, 1)}});
    case advice::SpreadShape::not_known: break;
  }
  return tr("spread.unknown");
}

// Of the likelier shape.
std::string fit_text(const advice::TagSpread& spread) {
  const bool log_normal = spread.shape == advice::SpreadShape::log_normal;
  const double df = log_normal ? spread.ln_df : spread.nb_df;
  const double p = log_normal ? spread.ln_p : spread.nb_p;
  if (df <= 0) return tr("spread.fits_unknown");
  return p < 0.05 ? tr("spread.fits_not") : tr("spread.fits");
}

std::string stop_text(const advice::StopLine& line, int counts) {
  if (!line.known) return tr("spread.unknown");
  if (line.reached) return tr("spread.enough");
  return tr("spread.more", {{"n", whole(std::ceil(line.trees_needed - counts))}});
}

// How the counted trees differ, and when enough are counted: by the books, and by our own rule.
void counts_part(Frame& frame) {
  const advice::TagSpread& spread =
      frame.cache.spread(frame.season, frame.block_id(), frame.now_ms());
  if (spread.counts < 2 || !(spread.mean > 0)) return;
  fact(frame.ui, tr("spread.mean"), tr("spread.mean_n", {{"n", whole(spread.mean)},
                                                         {"se", number(spread.se_successive, 1)}}));
  fact(frame.ui, tr("spread.cv"), widgets::percent(spread.cv));
  fact(frame.ui, tr("spread.shape"), shape_text(spread));
  small_print(frame.ui, fit_text(spread));
  heading(frame.ui, tr("spread.stop"), 3);
  fact(frame.ui, tr("spread.green"), stop_text(spread.green, spread.counts));
  fact(frame.ui, tr("spread.kuno"), stop_text(spread.kuno, spread.counts));
  int decided = 0, all = 0;
  for (const advice::CrewRow& row :
       frame.cache.crew(frame.season, frame.block_id(), frame.now_ms())) {
    if (row.standing.counts == 0) continue;
    ++all;
    decided += row.verdict.kind != advice::VerdictKind::count_more;
  }
  fact(frame.ui, tr("spread.ours"),
       tr("spread.ours_n", {{"done", whole(decided)}, {"all", whole(all)}}));
}

void buds_part(Frame& frame) {
  const ledger::BlockSeason* block = frame.block();
  if (!block || !has_current(block->bud_samples)) return;
  const advice::FloralFraction& floral = frame.cache.floral(frame.season, frame.block_id());
  if (!floral.known) return;
  heading(frame.ui, tr("buds.fraction_block"));
  fact(frame.ui, tr("spread.design_effect"), number(floral.design_effect, 1));
  fact(frame.ui, tr("spread.effective_buds"), whole(floral.effective_buds));
}

}  // namespace

void draw_numbers(Frame& frame) {
  open(frame, {.key = "numbers/" + frame.block_id(), .title = tr("spread.experts")});
  heading(frame.ui, block_text(frame.season, frame.block_id()));
  counts_part(frame);
  buds_part(frame);
  finish(frame);
}

}  // namespace nthtree::screens
