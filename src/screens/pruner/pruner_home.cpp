// SPDX-License-Identifier: Apache-2.0
// The pruner's first screen: what to leave, which tree is next, how it stands. No statistics.
#include "advice/judged/this_tree.h"
#include "screens/each_screen.h"
#include "screens/parts/entries.h"
#include "screens/parts/parts.h"
#include "screens/parts/scene.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

void what_to_leave(Scene& scene) {
  const advice::BlockTarget* target = scene.reckoning.target(scene.season, scene.block_id());
  if (!target) {
    notice(scene.ui, {.id = "no_target", .tone = Tone::caution, .text = tr("home.no_target")});
    return;
  }
  const advice::TreeBand band = advice::tree_band(
      target->target.spurs_to_leave_per_tree.value, tolerance_of(scene));
  strong_line(scene.ui, tr("home.leave"));
  big_number(scene.ui, whole(band.target),
             tr("home.leave_range", {{"low", whole(band.low)}, {"high", whole(band.high)}}));
}

std::string how_far(const advice::NextTree& next) {
  if (next.trees_ahead <= 0) return tr("home.next_here");
  const std::string ahead = tr_count("home.next_ahead", next.trees_ahead);
  return next.same_row ? ahead : ahead + ", " + tr("home.next_later_row");
}

void next_tree_card(Scene& scene, const advice::NextTree& next) {
  scene.ui.open_card();
  small_print(scene.ui, tr("home.next"));
  if (next.tree.row == 0) {
    strong_line(scene.ui, tr("home.block_end"));
  } else {
    heading(scene.ui, tree_text(next.tree));
    paragraph(scene.ui, how_far(next));
  }
  scene.ui.close_card(scene.ui.theme().card);
}

// Somebody who begins in another row says so first: the count opens with its tree to be chosen.
void elsewhere(Scene& scene, const advice::NextTree& next) {
  if (!choice_row(scene.ui, {.id = "elsewhere", .label = tr("home.elsewhere"),
                             .glyph = Glyph::tree})) {
    return;
  }
  const orchard::TreeAddress tree = next.tree.row > 0 ? next.tree : orchard::TreeAddress{1, 1};
  scene.want(OpenCount{CountPurpose::tag, scene.block_id(), tree});
  scene.want(Ask{"tree"});
}

// An exercise of this week that still waits for this person.
void exercise_row(Scene& scene) {
  constexpr std::int64_t week_ms = 7 * 86400000LL;
  const advice::ExerciseProgress& now =
      scene.reckoning.exercise_now(scene.season, scene.block_id());
  if (now.trees.empty() || now.began_ms < scene.now_ms() - week_ms) return;
  if (!now.next_for(scene.session.person)) return;
  if (choice_row(scene.ui, {.id = "exercise",
                            .label = tr("exercise.title"),
                            .detail = tr_count("exercise.left",
                                               now.left_for(scene.session.person)),
                            .glyph = Glyph::level})) {
    scene.go(ScreenId::exercise);
  }
}

void more(Scene& scene) {
  menu_row(scene, "my_day", tr("home.my_day"), ScreenId::my_day, Glyph::note);
  menu_row(scene, "brief", tr("home.brief"), ScreenId::brief, Glyph::bud);
  menu_row(scene, "hand_over", tr("hand.title"), ScreenId::hand_over, Glyph::phone);
  last_menu_rows(scene);
}

}  // namespace

void draw_pruner_home(Scene& scene) {
  const advice::NextTree& next = next_tree_of(scene, scene.session.person);
  const bool counting = half_done_count(scene) != nullptr;
  open(scene, {.key = "home", .title = block_text(scene.season, scene.block_id()),
               .actions = {{.id = counting ? "resume" : "count",
                            .label = tr(counting ? "home.resume" : "home.count")}},
               .back = false});
  unfinished(scene, Resume::in_bar);
  const auto standing = [&] {
    what_to_leave(scene);
    lead_said(scene);
    const ledger::BlockSeason* block = scene.block();
    if (block && last_tag(*block, scene.session.person)) {
      if (!scene.ui.wide()) heading(scene.ui, tr("home.you"));
      verdict_here(scene, "you",
                   scene.reckoning.verdict(scene.season, scene.block_id(), scene.session.person,
                                           scene.now_ms()),
                   false, false);
    }
  };
  const auto further = [&] {
    next_tree_card(scene, next);
    if (!counting) elsewhere(scene, next);
    block_line(scene);
    exercise_row(scene);
    more(scene);
  };
  side_by_side(scene, standing, further);
  if (scene.bar.action == "resume") go_on_counting(scene);
  if (scene.bar.action == "count") {
    const orchard::TreeAddress tree = next.tree.row > 0 ? next.tree : orchard::TreeAddress{1, 1};
    scene.want(OpenCount{CountPurpose::tag, scene.block_id(), tree});
  }
  finish(scene);
}

}  // namespace nthtree::screens
