// SPDX-License-Identifier: Apache-2.0
// Buds cut open, tallied by branch; the floral fraction lives on the screen while it grows.
#include <cmath>

#include "ledger/current.h"
#include "orchard/limits.h"
#include "screens/each_screen.h"
#include "screens/parts/entries.h"
#include "screens/parts/frame.h"
#include "screens/parts/parts.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

int count_of(const BudDraft& draft, BudKind kind) {
  return draft.counts[static_cast<int>(kind)];
}

int floral_of(const BudDraft& draft) {
  return count_of(draft, BudKind::spur_floral) + count_of(draft, BudKind::terminal_floral);
}

int used_of(const BudDraft& draft) {
  return floral_of(draft) + count_of(draft, BudKind::spur_vegetative) +
         count_of(draft, BudKind::terminal_vegetative);
}

std::string warning_text(advice::FloralWarning warning) {
  switch (warning) {
    case advice::FloralWarning::none:
      return "";
    case advice::FloralWarning::one_tree_only:
      return tr("buds.warning.one_tree_only");
    case advice::FloralWarning::few_buds:
      return tr("buds.warning.few_buds");
    case advice::FloralWarning::upper_lower_apart:
      return tr("buds.warning.upper_lower_apart");
    case advice::FloralWarning::one_position_only:
      break;
  }
  return tr("buds.warning.one_position_only");
}

void fraction_part(Frame& frame) {
  const advice::FloralFraction& floral = frame.cache.floral(frame.season, frame.block_id());
  if (!floral.known) return;
  big_number(frame.ui, widgets::percent(floral.fraction.value), tr("buds.fraction"));
  paragraph(frame.ui, tr("buds.range", {{"low", of_100(floral.fraction.low)},
                                        {"high", of_100(floral.fraction.high)}}));
  small_print(frame.ui, tr("buds.tally", {{"buds", whole(floral.buds)},
                                          {"trees", whole(floral.trees)},
                                          {"spur", whole(floral.spur_buds)},
                                          {"terminal", whole(floral.terminal_buds)},
                                          {"lateral", whole(floral.lateral_left_out)}}));
  if (floral.trees > 1) {
    small_print(frame.ui, tr("buds.worth", {{"n", whole(floral.effective_buds)}}));
  }
  if (floral.upper.value >= 0 && floral.lower.value >= 0) {
    small_print(frame.ui, tr("buds.by_position", {{"upper", of_100(floral.upper.value)},
                                                  {"lower", of_100(floral.lower.value)}}));
  }
  if (floral.branches_more > 0) {
    pill(frame.ui, tr("buds.more", {{"n", whole(floral.branches_more)}}), Tone::plain);
  } else {
    pill(frame.ui,
         floral.branches_for_verdicts > 0
             ? tr("buds.more_for_verdicts", {{"n", whole(floral.branches_for_verdicts)}})
             : tr("buds.enough"),
         Tone::good);
  }
  for (const advice::FloralWarning warning : floral.warnings) {
    small_print(frame.ui, warning_text(warning));
  }
  if (const advice::BlockTarget* target = frame.cache.target(frame.season, frame.block_id())) {
    strong_line(frame.ui, tr("buds.target_now",
                             {{"n", whole(target->target.spurs_to_leave_per_tree.value)}}));
  }
}

void branches_part(Frame& frame) {
  const ledger::BlockSeason* block = frame.block();
  if (!block || !has_current(block->bud_samples)) {
    empty_state(frame.ui, {.id = "none",
                           .glyph = Glyph::bud,
                           .title = tr("buds.branches"),
                           .text = tr("buds.empty")});
    return;
  }
  heading(frame.ui, tr("buds.branches"));
  for (const auto& entry : ledger::current_newest_first(block->bud_samples)) {
    const bool upper = entry.body.position == ledger::BranchPosition::upper;
    const int all = entry.body.floral() + entry.body.vegetative();
    fact(frame.ui,
         tree_text(entry.body.tree) + ", " + (upper ? tr("buds.upper") : tr("buds.lower")),
         tr("buds.row", {{"floral", whole(entry.body.floral())}, {"all", whole(all)}}));
  }
}

// A new branch, on the tree of the last one.
void begin_buttons(Frame& frame) {
  const ledger::BlockSeason* block = frame.block();
  orchard::TreeAddress tree{1, 1};
  if (const auto* last = block ? newest_current(block->bud_samples) : nullptr) {
    tree = last->body.tree;
  }
  const auto& fields = frame.session.fields;
  const auto at = [&](const char* id, int value) {
    const auto typed = fields.find(id);
    return typed == fields.end() ? value : std::atoi(typed->second.c_str());
  };
  tree = {at("buds/row", tree.row), at("buds/tree", tree.tree)};
  const auto step = [&](const char* id, const std::string& label, int value) {
    if (const int moved = stepper(frame.ui, {.id = id,
                                             .label = label,
                                             .value = static_cast<double>(value),
                                             .minimum = 1,
                                             .maximum = orchard::limits::rows.high})) {
      frame.want(SetField{id, std::to_string(std::max(1, value + moved))});
    }
  };
  step("buds/row", tr("row"), tree.row);
  step("buds/tree", tr("tree"), tree.tree);
  const auto begin = [&](const char* id, const std::string& label,
                         ledger::BranchPosition at_height) {
    if (button(frame.ui, {.id = id, .label = label})) {
      frame.want(OpenBuds{frame.block_id(), tree, at_height});
    }
  };
  frame.ui.row(
      {1, 1}, [&] { begin("upper", tr("buds.upper"), ledger::BranchPosition::upper); },
      [&] { begin("lower", tr("buds.lower"), ledger::BranchPosition::lower); });
}

void tally_key(Frame& frame, const BudDraft& draft, const char* id, const char* key, BudKind kind) {
  const int taps = tally_pad(frame, id, tr(key), count_of(draft, kind));
  if (taps > 0) frame.want(BudTaps{kind, taps});
}

void tally_keys(Frame& frame, const BudDraft& draft) {
  const auto spur_floral = [&] {
    tally_key(frame, draft, "spur_floral", "buds.spur_floral", BudKind::spur_floral);
  };
  const auto spur_leaf = [&] {
    tally_key(frame, draft, "spur_vegetative", "buds.spur_vegetative", BudKind::spur_vegetative);
  };
  const auto end_floral = [&] {
    tally_key(frame, draft, "terminal_floral", "buds.terminal_floral", BudKind::terminal_floral);
  };
  const auto end_leaf = [&] {
    tally_key(frame, draft, "terminal_vegetative", "buds.terminal_vegetative",
              BudKind::terminal_vegetative);
  };
  if (frame.ui.wide()) {
    frame.ui.row({1, 1, 1, 1}, spur_floral, spur_leaf, end_floral, end_leaf);
    return;
  }
  frame.ui.row({1, 1}, spur_floral, spur_leaf);
  frame.ui.row({1, 1}, end_floral, end_leaf);
}

ledger::BudSample sample_of(const BudDraft& draft) {
  ledger::BudSample sample;
  sample.block = draft.block;
  sample.tree = draft.tree;
  sample.position = draft.position;
  sample.spur_floral = count_of(draft, BudKind::spur_floral);
  sample.spur_vegetative = count_of(draft, BudKind::spur_vegetative);
  sample.terminal_floral = count_of(draft, BudKind::terminal_floral);
  sample.terminal_vegetative = count_of(draft, BudKind::terminal_vegetative);
  sample.lateral_left_out = count_of(draft, BudKind::lateral);
  return sample;
}

// The share of the whole block as it stands with the branch in hand.
void live_fraction(Frame& frame, const BudDraft& draft) {
  ledger::BlockSeason with;
  if (const ledger::BlockSeason* block = frame.block()) with.bud_samples = block->bud_samples;
  with.bud_samples.push_back({{}, frame.session.person, sample_of(draft)});
  const advice::FloralFraction floral = advice::floral_fraction(with);
  if (!floral.known) return;
  fact(frame.ui, tr("buds.fraction_block"),
       widgets::percent(floral.fraction.value) + " (" +
           tr("range", {{"low", of_100(floral.fraction.low)},
                        {"high", of_100(floral.fraction.high)}}) +
           ")");
}

void tally_part(Frame& frame, const BudDraft& draft) {
  tally_keys(frame, draft);
  strong_line(frame.ui, tr("buds.this_branch", {{"tree", tree_text(draft.tree)},
                                                {"floral", whole(floral_of(draft))},
                                                {"all", whole(used_of(draft))}}));
  if (used_of(draft) > 0) live_fraction(frame, draft);
  const int lateral = button(
      frame.ui, {.id = "lateral",
                 .label = labelled(tr("buds.lateral"),
                                   whole(count_of(draft, BudKind::lateral))),
                 .kind = Kind::quiet});
  if (lateral > 0) frame.want(BudTaps{BudKind::lateral, lateral});
  small_print(frame.ui, tr("buds.lateral_note"));
  if (button(frame.ui, {.id = "throw", .label = tr("count.throw_short"), .kind = Kind::quiet})) {
    frame.want(draft.empty() ? Intent(DropBuds{}) : Intent(Ask{"throw_buds"}));
  }
}

// While a branch is tallied, the head says which one; the page keeps its height for the pads. On a
// lying phone there is room for the tree beside it, and none for a line below the pads.
std::string title_of(const std::optional<BudDraft>& draft, bool wide) {
  if (!draft) return tr("buds.title");
  const bool upper = draft->position == ledger::BranchPosition::upper;
  const std::string branch = tr(upper ? "buds.upper" : "buds.lower");
  return wide ? branch + ". " + tree_text(draft->tree) : branch;
}

}  // namespace

void draw_buds(Frame& frame) {
  const auto& draft = frame.session.drafts.buds;
  std::vector<widgets::Action> actions;
  if (draft) {
    const bool practice = frame.session.preferences.practice;
    actions = {{.id = "save",
                .label = practice ? tr("done") : tr("buds.save"),
                .enabled = used_of(*draft) > 0,
                .weight = 1.7f},
               {.id = "undo",
                .label = tr("buds.undo"),
                .kind = Kind::quiet,
                .enabled = !draft->empty()}};
  }
  open(frame, {.key = draft ? "buds_tally" : "buds",
               .title = title_of(draft, frame.ui.wide()),
               .actions = actions});
  if (draft) {
    tally_part(frame, *draft);
  } else {
    save_state(frame);
    const auto about = [&] {
      paragraph(frame.ui, tr("buds.text"));
      begin_buttons(frame);
    };
    const auto result = [&] {
      fraction_part(frame);
      branches_part(frame);
    };
    side_by_side(frame, about, result);
  }
  if (frame.bar.action == "undo") frame.want(UndoBud{});
  if (draft && frame.bar.action == "save") {
    if (frame.session.preferences.practice) {
      frame.want(DropBuds{.practised = true});
    } else {
      SaveRecords save;
      save.bodies = {sample_of(*draft)};
      save.from = SaveRecords::From::buds;
      frame.want(save);
    }
  }
  finish(frame);
  if (asked(frame, "throw_buds", tr("count.throw_short"), tr("buds.throw_question"),
            tr("count.throw_yes"), tr("no"))) {
    frame.want(DropBuds{});
  }
}

}  // namespace nthtree::screens
