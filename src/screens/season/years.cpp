// SPDX-License-Identifier: Apache-2.0
// Seasons side by side, block by block: planned, left, set, picked, bloomed again, and what next
// winter's target could be.
#include "advice/review/years.h"

#include <algorithm>

#include "base/text.h"
#include "screens/each_screen.h"
#include "screens/parts/frame.h"
#include "screens/parts/parts.h"
#include "screens/parts/wording.h"
#include "screens/season/season_words.h"

namespace nthtree::screens {
namespace {

using advice::BlockYears;
using advice::SeasonOfBlock;

bool has_picked(const BlockYears& years) {
  return std::any_of(years.seasons.begin(), years.seasons.end(),
                     [](const SeasonOfBlock& season) { return season.learnt.picked_trees > 0; });
}

void picked_picture(Frame& frame, const BlockYears& years) {
  std::vector<widgets::BarRow> rows;
  std::string words;
  for (const SeasonOfBlock& season : years.seasons) {
    if (season.learnt.picked_trees == 0) continue;
    const std::string fruits = whole(season.learnt.picked_per_tree);
    rows.push_back({year_text(season), season.learnt.picked_per_tree, fruits});
    words += (words.empty() ? "" : "; ") + year_text(season) + ": " + fruits;
  }
  small_print(frame.ui, tr("years.picked_picture"));
  bar_chart(frame.ui, {.id = "picked/" + years.block,
                       .label = labelled(tr("years.picked"), words), .rows = rows});
}

void years_table(Frame& frame, const BlockYears& years) {
  widgets::Table table{.id = "years/" + years.block, .label = tr("years.title"),
                       .header = years_head(), .rows = {},
                       .weights = {1.5f, 1, 1, 1, 1, 1},
                       .numeric = {false, true, true, true, true, true}};
  for (const SeasonOfBlock& season : years.seasons) table.rows.push_back(years_row(season));
  widgets::table(frame.ui, table);
}

// Where six columns do not fit: a line for each thing that is known.
void years_in_lines(Frame& frame, const BlockYears& years) {
  const std::vector<std::string> head = years_head();
  for (const SeasonOfBlock& season : years.seasons) {
    const std::vector<std::string> cells = years_row(season);
    const bool is_known = std::any_of(cells.begin() + 1, cells.end(),
                                      [](const std::string& cell) { return !cell.empty(); });
    // A year before this block was planted, or counted; the season at hand stands in any case.
    if (season.is_closed && !is_known) continue;
    strong_line(frame.ui, cells[0]);
    for (std::size_t i = 1; i < cells.size(); ++i) {
      if (!cells[i].empty()) fact(frame.ui, head[i], cells[i]);
    }
  }
}

void numbers_part(Frame& frame, const BlockYears& years) {
  frame.ui.desk() ? years_table(frame, years) : years_in_lines(frame, years);
}

void proposal(Frame& frame, const std::string& block) {
  const advice::NextTarget& next = frame.cache.next_target(frame.season, block);
  if (!next.known) return;
  strong_line(frame.ui, next_target_text(next));
  paragraph(frame.ui, reasons_text(next.reasons));
}

void one_block(Frame& frame, const std::string& id) {
  const BlockYears& years = frame.cache.years(frame.season, id, frame.now_ms());
  heading(frame.ui, block_text(frame.season, id));
  const auto picture = [&] { picked_picture(frame, years); };
  const auto numbers = [&] { numbers_part(frame, years); };
  if (!has_picked(years)) numbers();  // no empty half beside them
  else if (frame.ui.desk()) frame.ui.row({1, 2}, picture, numbers);
  else side_by_side(frame, picture, numbers);
  if (years.bearing) small_print(frame.ui, bearing_text(*years.bearing));
  proposal(frame, id);
}

}  // namespace

void draw_years(Frame& frame) {
  const bool may_close = frame.me() && frame.me()->role == orchard::Role::manager;
  std::vector<widgets::Action> actions;
  if (!frame.season.blocks().empty()) {
    actions.push_back({.id = "print", .label = tr("years.print"), .kind = Kind::quiet});
    if (may_close) actions.push_back({.id = "close", .label = tr("close.title")});
  }
  open(frame, {.key = "years", .title = tr("years.title"), .actions = actions, .full = true});
  save_state(frame);
  small_print(frame.ui, tr("years.text"));
  if (frame.season.blocks().empty()) paragraph(frame.ui, tr("block.empty"));
  for (const auto& [id, block] : frame.season.blocks()) {
    if (block.block) one_block(frame, id);
  }
  if (frame.bar.action == "close") frame.go(ScreenId::close_season);
  if (frame.bar.action == "print") frame.want(PrintReport{season_paper(frame)});
  finish(frame);
}

}  // namespace nthtree::screens
