// SPDX-License-Identifier: Apache-2.0
#include "screens/parts/tree_row.h"

#include <cstdlib>

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

// Another draft begins with its own tree, not with what was typed for the last one.
std::string field_of(const char* half, const CountDraft& draft) {
  return "at/" + std::string(half) + "/" + std::to_string(draft.started_ms);
}

int typed_or_stepped(Frame& frame, Form& form, const CountDraft& draft, const Half& half) {
  const std::string field = field_of(half.id, draft);
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
  if (button(frame.ui, {.id = "tree_done", .label = tr("done"), .kind = Kind::quiet,
                        .enabled = !is_tree_typed_wrong(frame, draft)})) {
    frame.want(Ask{});
  }
}

bool is_tree_typed_wrong(const Frame& frame, const CountDraft& draft) {
  if (frame.session.asking != "tree") return false;
  const auto differs = [&](const char* half, int number) {
    const std::string typed = frame.typed(field_of(half, draft));
    return !typed.empty() && std::atoi(typed.c_str()) != number;
  };
  return differs("row", draft.tree.row) || differs("place", draft.tree.tree);
}

}  // namespace nthtree::screens
