// SPDX-License-Identifier: Apache-2.0
// The block as it is planted: what does not bear, entered by numbers or by tapping the trees on a
// map at the size of fingers, and said again where it bears after all.
#include <algorithm>
#include <cstdlib>
#include <optional>
#include <set>
#include <string_view>

#include "advice/known/planting.h"
#include "base/text.h"
#include "screens/each_screen.h"
#include "screens/parts/form.h"
#include "screens/parts/frame.h"
#include "screens/parts/parts.h"
#include "screens/parts/rows.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

using ledger::TreeKind;

constexpr float tile_height = 62;
constexpr std::size_t states_most = 2000;  // of one entry: a slip in the rows, beyond that

using Trees = std::set<orchard::TreeAddress>;

constexpr const char* map_field = "planting/chosen";  // "4-17 4-18"
constexpr const char* from_field = "planting/from";   // the first row shown

std::string chosen_text(const Trees& trees) {
  std::string text;
  for (const auto& [row, tree] : trees) {
    text += (text.empty() ? "" : " ") + std::to_string(row) + "-" + std::to_string(tree);
  }
  return text;
}

Trees chosen_trees(std::string_view text) {
  Trees trees;
  orchard::TreeAddress tree;
  while (base::take_number(text, tree.row) && base::take_text(text, "-") &&
         base::take_number(text, tree.tree)) {
    trees.insert(tree);
    base::take_text(text, " ");
  }
  return trees;
}

int longest_row(const orchard::Block& block) {
  int longest = block.trees_per_row;
  for (const int length : block.row_lengths) longest = std::max(longest, length);
  return longest;
}

// What differs from what stands already; the same said twice would only make records.
std::vector<ledger::Body> states_of(const orchard::Block& block, const advice::Planting& planting,
                                    const Trees& trees, TreeKind kind) {
  std::vector<ledger::Body> states;
  for (const orchard::TreeAddress& at : trees) {
    if (!block.has(at) || planting.kind_of(at) == kind) continue;
    if (states.size() < states_most) states.push_back(ledger::TreeState{block.id, at, kind});
  }
  return states;
}

Trees by_numbers(Frame& frame, const orchard::Block& block) {
  const auto rows = row_list_field(frame, "planting/rows", tr("rows.rows"), block.rows);
  const auto places =
      tree_list_field(frame, "planting/trees", tr("planting.trees"), longest_row(block));
  Trees trees;
  for (const int row : rows) {
    for (const int tree : places) trees.insert({row, tree});
  }
  return trees;
}

// A sign beside a tree's number and, to be learnt there, behind the word for it: nothing is told by
// colour alone.
std::string with_sign(const std::string& text, TreeKind kind) {
  constexpr const char* signs[] = {"", " ×", " +", " *", " #"};
  return text + signs[static_cast<std::size_t>(kind)];
}

// One tree of the map; true where it was tapped.
bool tree_tile(Frame& frame, const orchard::TreeAddress& at, TreeKind is, bool chosen) {
  const int taps =
      button(frame.ui, {.id = "at/" + std::to_string(at.row) + "-" + std::to_string(at.tree),
                        .label = with_sign(std::to_string(at.tree), is),
                        .kind = chosen ? Kind::primary : Kind::quiet,
                        .name = tr("planting.tile", {{"row", whole(at.row)},
                                                     {"tree", whole(at.tree)},
                                                     {"what", tree_kind_text(is)}}),
                        .pressed = chosen ? widgets::Tri::yes : widgets::Tri::no,
                        .position = at.tree});
  return taps % 2 == 1;
}

// The rows that are shown side by side: as many as fingers have room for.
std::vector<int> rows_shown(Frame& frame, const orchard::Block& block) {
  const float tile = 60 * frame.ui.theme().look.text_scale;
  const int across = std::clamp(static_cast<int>(frame.ui.width() / tile), 1, block.rows);
  const std::string typed = frame.typed(from_field);
  const int last_start = std::max(1, block.rows - across + 1);
  const int from = std::clamp(typed.empty() ? 1 : std::atoi(typed.c_str()), 1, last_start);
  const int moved = stepper(frame.ui, {.id = "from", .label = tr("planting.rows_from"),
                                       .value = static_cast<double>(from), .minimum = 1,
                                       .maximum = static_cast<double>(last_start)});
  if (moved != 0) {
    frame.want(SetField{from_field,
                        std::to_string(std::clamp(from + moved * across, 1, last_start))});
  }
  std::vector<int> rows;
  for (int row = from; row < from + across; ++row) rows.push_back(row);
  return rows;
}

// Rows side by side as they stand, trees downwards: the block from above.
Trees by_map(Frame& frame, const orchard::Block& block, const advice::Planting& planting) {
  Trees trees = chosen_trees(frame.typed(map_field));
  small_print(frame.ui, tr("planting.tap"));
  const std::vector<int> rows = rows_shown(frame, block);
  strong_line(frame.ui, tr_count("planting.chosen", static_cast<long>(trees.size())));
  std::optional<orchard::TreeAddress> tapped;
  const auto in_each_row = [&](const auto& draw) {
    frame.ui.open_row(std::vector<float>(rows.size(), 1), 4);
    for (std::size_t i = 0; i < rows.size(); ++i) {
      if (i > 0) frame.ui.next_cell();
      draw(rows[i]);
    }
    frame.ui.close_row();
  };
  // The rows' numbers stand above every ten trees: in a long row the first ones are out of view.
  constexpr int trees_between = 10;
  const int trees_most = longest_row(block);
  const int lines = trees_most + (trees_most + trees_between - 1) / trees_between;
  long_list(frame.ui, {.id = "map", .label = tr("planting.by_map"), .rows = lines,
                       .row_height = tile_height}, [&](int i) {
    const int numbers_above = i / (trees_between + 1) + 1;
    if (i % (trees_between + 1) == 0) {
      return in_each_row([&](int row) { strong_line(frame.ui, tr("row_n", {{"n", whole(row)}})); });
    }
    in_each_row([&](int row) {
      const orchard::TreeAddress at{row, i + 1 - numbers_above};
      if (!block.has(at)) return;
      if (tree_tile(frame, at, planting.kind_of(at), trees.contains(at))) tapped = at;
    });
  });
  if (tapped) {
    if (trees.erase(*tapped) == 0) trees.insert(*tapped);
    frame.want(SetField{map_field, chosen_text(trees)});
  }
  return trees;
}

// Beside the map one line, so that the trees are in view.
TreeKind kind_field(Frame& frame, bool folded) {
  std::vector<std::string> kinds;
  for (int kind = 0; kind < 5; ++kind) {
    const auto is = static_cast<TreeKind>(kind);
    kinds.push_back(with_sign(tree_kind_text(is), is));
  }
  Form form(frame);
  return static_cast<TreeKind>(
      folded ? form.folded_list("planting/kind", tr("tree.what"), kinds, 1)
             : form.list("planting/kind", tr("tree.what"), kinds, 1));
}

bool is_on_map(const Frame& frame) { return frame.typed("planting/by") == "1"; }

std::vector<ledger::Body> entered(Frame& frame, const orchard::Block& block,
                                  const advice::Planting& planting) {
  Form form(frame);
  form.choice("planting/by", tr("planting.by"), {tr("planting.by_list"), tr("planting.by_map")}, 0);
  const bool on_map = is_on_map(frame);
  const TreeKind kind = kind_field(frame, on_map);
  const Trees trees = on_map ? by_map(frame, block, planting) : by_numbers(frame, block);
  return states_of(block, planting, trees, kind);
}

void listed(Frame& frame, const orchard::Block& block, const advice::Planting& planting) {
  fact(frame.ui, tr("planting.to_prune"), whole(static_cast<double>(planting.bearing())));
  for (std::size_t kind = 1; kind < planting.others().size(); ++kind) {
    if (planting.others()[kind] == 0) continue;
    fact(frame.ui, tree_kind_text(static_cast<TreeKind>(kind)), whole(planting.others()[kind]));
  }
  heading(frame.ui, tr("planting.title"));
  if (planting.bearing() == planting.places()) small_print(frame.ui, tr("planting.none"));
  for (int row = 1; row <= block.rows; ++row) {
    if (planting.bearing_in_row(row) == block.trees_in_row(row)) continue;
    for (int tree = 1; tree <= block.trees_in_row(row); ++tree) {
      const orchard::TreeAddress at{row, tree};
      if (planting.is_bearing(at)) continue;
      if (choice_row(frame.ui, {.id = "tree/" + std::to_string(row) + "-" + std::to_string(tree),
                                .label = tree_text(at),
                                .detail = tree_kind_text(planting.kind_of(at)),
                                .glyph = Glyph::tree})) {
        frame.want(Go{Stop{ScreenId::no_tree, block.id, {}, at, {}}});
      }
    }
  }
}

}  // namespace

void draw_planting(Frame& frame) {
  const ledger::BlockSeason* season = frame.block();
  const bool known = season && season->block;
  std::vector<widgets::Action> actions;
  if (known) actions = {{.id = "keep", .label = tr("planting.keep")}};
  open(frame, {.key = "planting", .title = tr("planting.title"), .actions = actions});
  if (!known) {
    notice(frame.ui, {.id = "none", .tone = Tone::caution, .text = tr("block.waiting")});
    return finish(frame);
  }
  const orchard::Block& block = *season->block;
  const advice::Planting planting = advice::planting_of(*season, frame.now_ms());
  std::vector<ledger::Body> states;
  save_state(frame);
  const bool beneath = !frame.ui.two_columns();
  side_by_side(frame, [&] { states = entered(frame, block, planting); }, [&] {
    // Beneath a map of ninety trees nobody would find the list; its signs tell the same.
    if (!(beneath && is_on_map(frame))) listed(frame, block, planting);
  });
  if (frame.bar.action == "keep" && !states.empty()) {
    SaveRecords save;
    save.bodies = std::move(states);
    frame.want(save);
    frame.want(SetField{"planting/trees", ""});
    frame.want(SetField{map_field, ""});
  }
  finish(frame);
}

}  // namespace nthtree::screens
