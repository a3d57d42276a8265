// SPDX-License-Identifier: Apache-2.0
// A block row by row: where too many, just right or too few are left, and where nobody counted.
#include <algorithm>
#include <map>
#include <set>
#include <tuple>

#include "ledger/current.h"
#include "orchard/row_list.h"
#include "screens/each_screen.h"
#include "screens/parts/entries.h"
#include "screens/parts/frame.h"
#include "screens/parts/parts.h"
#include "screens/parts/rows.h"
#include "screens/parts/sorted_table.h"
#include "screens/parts/stretch.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

struct RowSum {
  int counts = 0;
  double spurs = 0;
};

widgets::VerdictSign state_of(double spurs, double target, double tolerance) {
  if (spurs > target * (1 + tolerance)) return widgets::VerdictSign::harder;
  if (spurs < target * (1 - tolerance)) return widgets::VerdictSign::lighter;
  return widgets::VerdictSign::on_target;
}

// Who pruned a part of a row, when, and how it stands: one line of the list and of the map.
struct RowLine {
  const advice::RowPart* part = nullptr;
  const advice::Stretch* stretch = nullptr;
};

// By row, as one walks.
std::vector<RowLine> row_lines(const std::vector<advice::Stretch>& stretches) {
  std::vector<RowLine> lines;
  for (const advice::Stretch& stretch : stretches) {
    for (const advice::RowPart& part : stretch.parts) lines.push_back({&part, &stretch});
  }
  std::sort(lines.begin(), lines.end(), [](const RowLine& a, const RowLine& b) {
    return std::tie(a.part->row, a.part->first_tree) < std::tie(b.part->row, b.part->first_tree);
  });
  return lines;
}

std::string word_of(widgets::VerdictSign verdict) {
  switch (verdict) {
    case widgets::VerdictSign::harder: return tr("map.over");
    case widgets::VerdictSign::lighter: return tr("map.under");
    case widgets::VerdictSign::on_target: return tr("map.fine");
    case widgets::VerdictSign::count_more: break;
  }
  return tr("map.open");
}

// "Rows 14–17: too many left".
std::string rows_stand(const std::vector<int>& rows, widgets::VerdictSign verdict) {
  return labelled(tr_count("map.rows", static_cast<long>(rows.size()),
                           {{"rows", orchard::row_list_text(rows)}}),
                  word_of(verdict));
}

std::string part_text(const orchard::Block& block, const advice::RowPart& part) {
  ledger::RowDone done;
  done.row = part.row;
  done.side = part.side;
  if (part.first_tree > 1 || part.last_tree < block.trees_in_row(part.row)) {
    done.first_tree = part.first_tree;
    done.last_tree = part.last_tree;
  }
  return row_text(done);
}

std::string out_of_band(const advice::Stretch& stretch) {
  return of_100(stretch.share_over + stretch.share_under);
}

void rows_table(Frame& frame, const orchard::Block& block, const std::vector<RowLine>& lines) {
  SortedTable table("map_rows", tr("map.title"),
                    {{tr("row")}, {tr("review.pruned_by")}, {tr("map.when")},
                     {tr("map.known"), false, true}, {tr("map.state")},
                     {tr("standing.left"), true}, {tr("map.range"), true},
                     {tr("map.out"), true}});
  for (const auto& [part, stretch] : lines) {
    table.add("", {{part_text(block, *part)},
                   {person_text(frame.season, part->person)},
                   {time_text(frame.season, part->at_ms)},
                   {tr(part->inferred ? "map.inferred" : "map.logged")},
                   {word_of(stand_of(*stretch))},
                   {whole(stretch->spurs_per_tree.value), stretch->spurs_per_tree.value},
                   {range_text(stretch->spurs_per_tree.low, stretch->spurs_per_tree.high)},
                   {out_of_band(*stretch), stretch->share_over + stretch->share_under}});
  }
  table.draw(frame);
}

// On a phone the rows of one hand that stand alike share a line.
void rows_cards(Frame& frame, const std::vector<advice::Stretch>& stretches) {
  int position = 0;
  for (const advice::Stretch& stretch : stretches) {
    if (stretch.rows.empty()) continue;
    const std::string detail =
        whose_text(frame, stretch) + " " +
        tr("map.line", {{"range", range_text(stretch.spurs_per_tree.low,
                                             stretch.spurs_per_tree.high)},
                        {"n", out_of_band(stretch)}});
    if (choice_row(frame.ui, {.id = "stretch/" + std::to_string(++position),
                              .label = rows_stand(stretch.rows, stand_of(stretch)),
                              .detail = detail,
                              .trailing = whole(stretch.spurs_per_tree.value)})) {
      frame.go(ScreenId::going_back);
    }
  }
}

std::vector<widgets::MapRow> row_states(const std::vector<RowLine>& lines) {
  std::vector<widgets::MapRow> states;
  for (const auto& [part, stretch] : lines) {
    states.push_back({part->row, stand_of(*stretch), part->inferred});
  }
  return states;
}

// What the picture shows, heard: how many trees are counted, and how many rows stand how.
std::string label_of(const widgets::BlockMap& map) {
  std::string label =
      labelled(tr("map.title"), tr_count("counts_n", static_cast<long>(map.cells.size())));
  std::map<widgets::VerdictSign, std::set<int>> rows;
  for (const widgets::MapRow& row : map.row_states) rows[row.verdict].insert(row.row);
  for (const auto& [verdict, numbers] : rows) {
    label += ". " + rows_stand({numbers.begin(), numbers.end()}, verdict);
  }
  return label;
}

void rows_list(Frame& frame, const std::map<int, RowSum>& rows) {
  std::vector<std::pair<int, RowSum>> list(rows.begin(), rows.end());
  long_list(frame.ui, {.id = "rows", .label = tr("map.title"),
                       .rows = static_cast<int>(list.size()), .row_height = 44},
            [&](int i) {
              const auto& [row, sum] = list[static_cast<std::size_t>(i)];
              fact(frame.ui,
                   tr("row_n", {{"n", whole(row)}}) + ", " +
                       tr("review.counted_n", {{"n", whole(sum.counts)}}),
                   whole(sum.spurs / sum.counts));
            });
}

// How far apart the counted trees are, in one number; what the books make of it stands behind.
void spread_part(Frame& frame) {
  const advice::TagSpread& spread =
      frame.cache.spread(frame.season, frame.block_id(), frame.now_ms());
  if (spread.counts < 2 || !(spread.mean > 0)) return;
  heading(frame.ui, tr("spread.title"));
  fact(frame.ui, tr("spread.cv"), widgets::percent(spread.cv));
  menu_row(frame, "numbers", tr("spread.experts"), ScreenId::numbers, Glyph::note);
}

}  // namespace

void draw_block_map(Frame& frame) {
  open(frame, {.key = "map/" + frame.block_id(),
               .title = block_text(frame.season, frame.block_id()), .full = true});
  const ledger::BlockSeason* block = frame.block();
  const advice::BlockTarget* target = frame.cache.target(frame.season, frame.block_id());
  const bool has_work =
      block && (has_current(block->tag_counts) || has_current(block->rows_done));
  if (!block || !block->block || !has_work) {
    empty_state(frame.ui, {.id = "none", .glyph = Glyph::tree, .title = tr("map.title"),
                           .text = tr("map.empty")});
    finish(frame);
    return;
  }
  const advice::Acceptance& done =
      frame.cache.acceptance(frame.season, frame.block_id(), frame.now_ms());
  pill(frame.ui, reason_text(done.reason),
       done.kind == advice::AcceptanceKind::accepted ? Tone::good : Tone::plain);
  const advice::CountingBias& bias = frame.cache.bias(frame.season, frame.now_ms());
  widgets::BlockMap map;
  map.id = "map";
  map.rows = block->block->rows;
  map.trees = block->block->trees_per_row;
  std::map<int, RowSum> rows;
  for (const auto& entry : ledger::current(block->tag_counts)) {
    const double spurs = entry.body.spurs_after_mend.value_or(entry.body.spurs) *
                         bias.of(entry.author).ratio.value;
    RowSum& sum = rows[entry.body.tree.row];
    ++sum.counts;
    sum.spurs += spurs;
    if (!target) continue;
    map.cells.push_back({.row = entry.body.tree.row, .tree = entry.body.tree.tree,
                         .verdict = state_of(spurs, target->target.spurs_to_leave_per_tree.value,
                                             block->block->tolerance_fraction)});
  }
  const std::vector<advice::Stretch>& stretches =
      frame.cache.stretches(frame.season, frame.block_id(), frame.now_ms());
  const std::vector<RowLine> lines = row_lines(stretches);
  map.row_states = row_states(lines);
  map.label = label_of(map);
  small_print(frame.ui, tr("map.text"));
  if (!lines.empty()) small_print(frame.ui, tr("map.row_text"));
  if (frame.ui.desk()) map.height = 420;
  block_map(frame.ui, map);
  heading(frame.ui, tr(lines.empty() ? "standing.left" : "map.by_row"));
  if (lines.empty()) {
    rows_list(frame, rows);
  } else if (frame.ui.desk()) {
    rows_table(frame, *block->block, lines);
  } else {
    rows_cards(frame, stretches);
  }
  spread_part(frame);
  finish(frame);
}

}  // namespace nthtree::screens
