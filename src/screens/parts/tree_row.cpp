// SPDX-License-Identifier: Apache-2.0
#include "screens/parts/tree_row.h"

#include "orchard/limits.h"
#include "screens/parts/form.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {

bool is_of_one_tree(const CountDraft& draft) {
  return draft.mends || draft.round > 0 || draft.draw.limbs > 0;
}

namespace {

// One half of the address: typed, or walked to step by step.
struct Half {
  const char* id;     // of the stepper: "row", "place"
  const char* label;
  int value;
  orchard::Range range;
};

int typed_or_stepped(Frame& frame, Form& form, const CountDraft& draft, const Half& half) {
  // Another draft begins with its own tree, not with what was typed for the last one.
  const std::string field = "at/" + std::string(half.id) + "/" + std::to_string(draft.started_ms);
  const auto typed = form.number({.id = field,
                                  .label = tr(half.label),
                                  .value = static_cast<double>(half.value),
                                  .range = half.range});
  const int moved = stepper(frame.ui, {.id = half.id,
                                       .label = tr(half.label),
                                       .value = static_cast<double>(half.value),
                                       .minimum = half.range.low,
                                       .maximum = half.range.high});
  if (moved == 0) return typed ? static_cast<int>(*typed) : half.value;
  frame.want(SetField{field, std::to_string(half.value + moved)});
  return half.value + moved;
}

void tree_choice(Frame& frame, const CountDraft& draft) {
  const ledger::BlockSeason* season = frame.season.block(draft.block);
  const orchard::Block* block = season && season->block ? &*season->block : nullptr;
  const auto upto = [](int most) { return orchard::Range{1, static_cast<double>(most)}; };
  Form form(frame);
  orchard::TreeAddress tree = draft.tree;
  tree.row = typed_or_stepped(frame, form, draft,
                              {"row", "row", draft.tree.row,
                               block ? upto(block->rows) : orchard::limits::rows});
  tree.tree = typed_or_stepped(frame, form, draft,
                               {"place", "tree", draft.tree.tree,
                                block ? upto(block->trees_in_row(draft.tree.row))
                                      : orchard::limits::trees_per_row});
  if (!(tree == draft.tree)) frame.want(SetTree{tree});
}

}  // namespace

void tree_row(Frame& frame, const CountDraft& draft) {
  const bool is_open = frame.session.asking == "tree";
  if (!is_open && is_of_one_tree(draft)) {
    frame.ui.open_card();
    strong_line(frame.ui, tree_text(draft.tree));
    frame.ui.close_card(frame.ui.theme().card);
    return;
  }
  if (!is_open) {
    if (choice_row(frame.ui, {.id = "tree",
                              .label = tree_text(draft.tree),
                              .trailing = tr("change"),
                              .arrow = false,
                              .glyph = Glyph::tree})) {
      frame.want(Ask{"tree"});
    }
    return;
  }
  tree_choice(frame, draft);
  if (button(frame.ui, {.id = "tree_done", .label = tr("done"), .kind = Kind::quiet})) {
    frame.want(Ask{});
  }
}

}  // namespace nthtree::screens
