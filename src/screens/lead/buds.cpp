// SPDX-License-Identifier: Apache-2.0
// Buds cut open, tallied by branch; the floral fraction lives on the screen while it grows.
#include <cmath>

#include "ledger/live.h"
#include "orchard/limits.h"
#include "screens/each_screen.h"
#include "screens/parts/parts.h"
#include "screens/parts/scene.h"
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

void fraction_part(Scene& scene) {
  const advice::FloralFraction& floral = scene.reckoning.floral(scene.season, scene.block_id());
  if (!floral.known) return;
  big_number(scene.ui, widgets::percent(floral.fraction.value), tr("buds.fraction"));
  paragraph(scene.ui, tr("buds.range", {{"low", of_100(floral.fraction.low)},
                                        {"high", of_100(floral.fraction.high)}}));
  small_print(scene.ui, tr("buds.tally", {{"buds", whole(floral.buds)},
                                          {"trees", whole(floral.trees)},
                                          {"spur", whole(floral.spur_buds)},
                                          {"terminal", whole(floral.terminal_buds)},
                                          {"lateral", whole(floral.lateral_left_out)}}));
  if (floral.trees > 1) {
    small_print(scene.ui, tr("buds.worth", {{"n", whole(floral.effective_buds)}}));
  }
  if (floral.upper.value >= 0 && floral.lower.value >= 0) {
    small_print(scene.ui, tr("buds.by_position", {{"upper", of_100(floral.upper.value)},
                                                  {"lower", of_100(floral.lower.value)}}));
  }
  if (floral.branches_more > 0) {
    pill(scene.ui, tr("buds.more", {{"n", whole(floral.branches_more)}}), Tone::plain);
  } else {
    pill(scene.ui,
         floral.branches_for_verdicts > 0
             ? tr("buds.more_for_verdicts", {{"n", whole(floral.branches_for_verdicts)}})
             : tr("buds.enough"),
         Tone::good);
  }
  for (const advice::FloralWarning warning : floral.warnings) {
    small_print(scene.ui, warning_text(warning));
  }
  if (const advice::BlockTarget* target = scene.reckoning.target(scene.season, scene.block_id())) {
    strong_line(scene.ui, tr("buds.target_now",
                             {{"n", whole(target->target.spurs_to_leave_per_tree.value)}}));
  }
}

void branches_part(Scene& scene) {
  const ledger::BlockSeason* block = scene.block();
  if (!block || block->bud_samples.empty()) {
    empty_state(scene.ui, {.id = "none",
                           .glyph = Glyph::bud,
                           .title = tr("buds.branches"),
                           .text = tr("buds.empty")});
    return;
  }
  heading(scene.ui, tr("buds.branches"));
  for (const auto& entry : ledger::live_newest_first(block->bud_samples)) {
    const bool upper = entry.body.position == ledger::BranchPosition::upper;
    const int all = entry.body.floral() + entry.body.vegetative();
    fact(scene.ui,
         tree_text(entry.body.tree) + ", " + (upper ? tr("buds.upper") : tr("buds.lower")),
         tr("buds.row", {{"floral", whole(entry.body.floral())}, {"all", whole(all)}}));
  }
}

// A new branch on the tree after the last one, the other height first.
void begin_buttons(Scene& scene) {
  const ledger::BlockSeason* block = scene.block();
  orchard::TreeAddress tree{1, 1};
  if (block && !block->bud_samples.empty()) tree = block->bud_samples.back().body.tree;
  const auto& fields = scene.session.fields;
  const auto at = [&](const char* id, int value) {
    const auto typed = fields.find(id);
    return typed == fields.end() ? value : std::atoi(typed->second.c_str());
  };
  tree = {at("buds/row", tree.row), at("buds/tree", tree.tree)};
  const auto step = [&](const char* id, const std::string& label, int value) {
    if (const int moved = stepper(scene.ui, {.id = id,
                                             .label = label,
                                             .value = static_cast<double>(value),
                                             .minimum = 1,
                                             .maximum = orchard::limits::rows.high})) {
      scene.want(SetField{id, std::to_string(std::max(1, value + moved))});
    }
  };
  step("buds/row", tr("row"), tree.row);
  step("buds/tree", tr("tree"), tree.tree);
  const auto begin = [&](const char* id, const std::string& label,
                         ledger::BranchPosition at_height) {
    if (button(scene.ui, {.id = id, .label = label})) {
      scene.want(OpenBuds{scene.block_id(), tree, at_height});
    }
  };
  scene.ui.row(
      {1, 1}, [&] { begin("upper", tr("buds.upper"), ledger::BranchPosition::upper); },
      [&] { begin("lower", tr("buds.lower"), ledger::BranchPosition::lower); });
}

// A pad of its own height: it counts when the finger lands, as the count pad does. With large
// letters the pads would fill the screen and leave nothing to drag it by: then plain buttons.
void tally_key(Scene& scene, const BudDraft& draft, const char* id, const char* key, BudKind kind) {
  if (scene.ui.theme().look.text_scale > 1.2f) {
    const std::string label = labelled(tr(key), whole(count_of(draft, kind)));
    const int taps = button(scene.ui, {.id = id, .label = label, .kind = Kind::quiet,
                                       .height = 84});
    if (taps > 0) scene.want(BudTaps{kind, taps});
    return;
  }
  const int n = tap_pad(scene.ui, {.id = id, .label = tr(key),
                                   .value = whole(count_of(draft, kind)),
                                   .leave = 1e5f, .height_min = 120,
                                   .stretch = true,
                                   .at_once = false});
  if (n > 0) scene.want(BudTaps{kind, n});
}

void tally_keys(Scene& scene, const BudDraft& draft) {
  const auto spur_floral = [&] {
    tally_key(scene, draft, "spur_floral", "buds.spur_floral", BudKind::spur_floral);
  };
  const auto spur_leaf = [&] {
    tally_key(scene, draft, "spur_vegetative", "buds.spur_vegetative", BudKind::spur_vegetative);
  };
  const auto end_floral = [&] {
    tally_key(scene, draft, "terminal_floral", "buds.terminal_floral", BudKind::terminal_floral);
  };
  const auto end_leaf = [&] {
    tally_key(scene, draft, "terminal_vegetative", "buds.terminal_vegetative",
              BudKind::terminal_vegetative);
  };
  if (scene.ui.wide()) {
    scene.ui.row({1, 1, 1, 1}, spur_floral, spur_leaf, end_floral, end_leaf);
    return;
  }
  scene.ui.row({1, 1}, spur_floral, spur_leaf);
  scene.ui.row({1, 1}, end_floral, end_leaf);
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
void live_fraction(Scene& scene, const BudDraft& draft) {
  ledger::BlockSeason with;
  if (const ledger::BlockSeason* block = scene.block()) with.bud_samples = block->bud_samples;
  with.bud_samples.push_back({{}, scene.session.person, sample_of(draft)});
  const advice::FloralFraction floral = advice::floral_fraction(with);
  if (!floral.known) return;
  fact(scene.ui, tr("buds.fraction_block"),
       widgets::percent(floral.fraction.value) + " (" +
           tr("range", {{"low", of_100(floral.fraction.low)},
                        {"high", of_100(floral.fraction.high)}}) +
           ")");
}

void tally_part(Scene& scene, const BudDraft& draft) {
  tally_keys(scene, draft);
  strong_line(scene.ui, tr("buds.this_branch", {{"tree", tree_text(draft.tree)},
                                                {"floral", whole(floral_of(draft))},
                                                {"all", whole(used_of(draft))}}));
  if (used_of(draft) > 0) live_fraction(scene, draft);
  const int lateral = button(
      scene.ui, {.id = "lateral",
                 .label = labelled(tr("buds.lateral"),
                                   whole(count_of(draft, BudKind::lateral))),
                 .kind = Kind::quiet});
  if (lateral > 0) scene.want(BudTaps{BudKind::lateral, lateral});
  small_print(scene.ui, tr("buds.lateral_note"));
  if (button(scene.ui, {.id = "throw", .label = tr("count.throw_short"), .kind = Kind::quiet})) {
    scene.want(draft.empty() ? Intent(DropBuds{}) : Intent(Ask{"throw_buds"}));
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

void draw_buds(Scene& scene) {
  const auto& draft = scene.session.drafts.buds;
  std::vector<widgets::Action> actions;
  if (draft) {
    const bool practice = scene.session.preferences.practice;
    actions = {{.id = "save",
                .label = practice ? tr("done") : tr("buds.save"),
                .enabled = used_of(*draft) > 0,
                .weight = 1.7f},
               {.id = "undo",
                .label = tr("buds.undo"),
                .kind = Kind::quiet,
                .enabled = !draft->empty()}};
  }
  open(scene, {.key = draft ? "buds_tally" : "buds",
               .title = title_of(draft, scene.ui.wide()),
               .actions = actions});
  if (draft) {
    tally_part(scene, *draft);
  } else {
    save_state(scene);
    const auto about = [&] {
      paragraph(scene.ui, tr("buds.text"));
      begin_buttons(scene);
    };
    const auto result = [&] {
      fraction_part(scene);
      branches_part(scene);
    };
    side_by_side(scene, about, result);
  }
  if (scene.bar.action == "undo") scene.want(UndoBud{});
  if (draft && scene.bar.action == "save") {
    if (scene.session.preferences.practice) {
      scene.want(DropBuds{.practised = true});
    } else {
      SaveRecords save;
      save.bodies = {sample_of(*draft)};
      save.from = SaveRecords::From::buds;
      scene.want(save);
    }
  }
  finish(scene);
  if (asked(scene, "throw_buds", tr("count.throw_short"), tr("buds.throw_question"),
            tr("count.throw_yes"), tr("no"))) {
    scene.want(DropBuds{});
  }
}

}  // namespace nthtree::screens
