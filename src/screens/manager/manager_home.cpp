// SPDX-License-Identifier: Apache-2.0
// The manager's first screen: each block in one line, and the way to set up, review, export.
#include "screens/each_screen.h"
#include "screens/manager/review_parts.h"
#include "screens/parts/parts.h"
#include "screens/parts/scene.h"
#include "screens/parts/sorted_table.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

std::string block_detail(Scene& scene, const std::string& id) {
  const advice::BlockTarget* target = scene.reckoning.target(scene.season, id);
  if (!target) return tr("block.no_target");
  const std::string wanted = whole(target->target.spurs_to_leave_per_tree.value);
  const advice::Acceptance& done = scene.reckoning.acceptance(scene.season, id, scene.now_ms());
  const std::string first =
      done.counts > 0
          ? tr("manager.left_of", {{"n", whole(done.mean.value)}, {"target", wanted}})
          : tr("block.leave", {{"n", wanted}});
  return first + ". " + reason_text(done.reason);
}

// On a desk: every block's state at a look, sorted by whatever is asked.
void blocks_table(Scene& scene) {
  SortedTable table("home_blocks", tr("manager.blocks"),
                    {{tr("edit.block.title")},
                     {tr("edit.variety"), false, true},
                     {tr("review.accepted")},
                     {tr("standing.left"), true},
                     {tr("standing.target"), true},
                     {tr("review.counts"), true, true},
                     {tr("review.trees"), true}});
  for (const auto& [id, block] : scene.season.blocks()) {
    const advice::BlockTarget* target = scene.reckoning.target(scene.season, id);
    const advice::Acceptance& done = scene.reckoning.acceptance(scene.season, id, scene.now_ms());
    const double wanted = target ? target->target.spurs_to_leave_per_tree.value : 0;
    const double left = done.counts > 0 ? done.mean.value : 0;
    const auto spurs = [](double n) { return Cell{n > 0 ? whole(n) : "", n}; };
    table.add(id, {{block_text(scene.season, id)},
                   {block.block ? block.block->variety : ""},
                   {target ? block_state(done.kind) : tr("block.no_target")},
                   spurs(left),
                   spurs(wanted),
                   spurs(done.counts),
                   {whole(static_cast<double>(done.trees_done)) + " / " +
                        whole(static_cast<double>(done.trees)),
                    static_cast<double>(done.trees_done)}});
  }
  if (const auto id = table.draw(scene)) scene.go(ScreenId::block_map, *id);
}

void blocks_part(Scene& scene) {
  if (scene.season.blocks().empty()) {
    if (empty_state(scene.ui, {.id = "no_blocks", .glyph = Glyph::tree,
                               .title = tr("manager.blocks"), .text = tr("block.empty"),
                               .action = tr("farm.block_add")})) {
      scene.go(ScreenId::edit_block);
    }
    return;
  }
  heading(scene.ui, tr("manager.blocks"));
  if (scene.ui.desk()) return blocks_table(scene);
  for (const auto& [id, block] : scene.season.blocks()) {
    if (choice_row(scene.ui, {.id = "block/" + id, .label = block_text(scene.season, id),
                              .detail = block_detail(scene, id),
                              .glyph = Glyph::tree})) {
      scene.go(ScreenId::block_map, id);
    }
  }
}

// What does not stand at the side.
void tasks_beside_places(Scene& scene) {
  scene.ui.row({1, 1, 1},
               [&] { menu_row(scene, "hand_over", tr("hand.title"), ScreenId::hand_over,
                              Glyph::phone); },
               [&] { menu_row(scene, "cautions", tr("home.cautions"), ScreenId::cautions,
                              Glyph::caution); },
               [&] { menu_row(scene, "help", tr("home.help"), ScreenId::help, Glyph::note); });
}

void tasks_part(Scene& scene) {
  heading(scene.ui, tr("home.menu"));
  if (scene.ui.desk()) return tasks_beside_places(scene);
  menu_row(scene, "going_back", tr("back.title"), ScreenId::going_back, Glyph::undo);
  menu_row(scene, "tomorrow", tr("tomorrow.title"), ScreenId::tomorrow, Glyph::forward);
  menu_row(scene, "word", tr("word.title"), ScreenId::morning_word, Glyph::note);
  menu_row(scene, "farm", tr("manager.farm"), ScreenId::set_up, Glyph::tree);
  menu_row(scene, "history", tr("manager.history"), ScreenId::history, Glyph::menu);
  menu_row(scene, "share", tr("manager.share"), ScreenId::share, Glyph::share);
  menu_row(scene, "hand_over", tr("hand.title"), ScreenId::hand_over, Glyph::phone);
  menu_row(scene, "choose", tr("block.title"), ScreenId::choose_block, Glyph::tree,
           scene.session.block.empty() ? "" : block_text(scene.season, scene.session.block));
  if (!scene.session.block.empty()) {
    menu_row(scene, "brief", tr("home.brief"), ScreenId::brief, Glyph::note);
    menu_row(scene, "buds", tr("lead.buds"), ScreenId::buds, Glyph::bud);
    menu_row(scene, "second_pass", tr("manager.second_pass"), ScreenId::second_pass, Glyph::bud);
    menu_row(scene, "harvest", tr("manager.harvest"), ScreenId::harvest, Glyph::tree);
    menu_row(scene, "return_bloom", tr("manager.return_bloom"), ScreenId::return_bloom, Glyph::bud);
  }
  last_menu_rows(scene);
}

// The office begins with what needs a decision, as the day's review does.
void decisions_today(Scene& scene) {
  const advice::DayReview& review =
      scene.reckoning.review(scene.season, shown_day(scene), scene.now_ms());
  side_by_side(scene, [&] { to_decide(scene, review); }, [&] { changed_since(scene, review); });
}

}  // namespace

void draw_manager_home(Scene& scene) {
  const std::string& farm = scene.season.farm().name;
  // A farm without blocks has one thing to do, and it is not the day's review.
  std::vector<widgets::Action> actions;
  if (!scene.season.blocks().empty() && !scene.ui.desk()) {  // there it stands at the side
    actions.push_back({.id = "review", .label = tr("manager.review")});
  }
  open(scene, {.key = "manager", .title = farm.empty() ? tr("manager.farm") : farm,
               .actions = actions, .back = false, .full = true});
  unfinished(scene);
  clocks_ahead(scene);
  const auto blocks = [&] { blocks_part(scene); };
  const auto tasks = [&] { tasks_part(scene); };
  if (scene.ui.desk()) {
    if (!scene.season.blocks().empty()) decisions_today(scene);
    blocks();
    tasks();
  } else {
    side_by_side(scene, blocks, tasks);
  }
  if (scene.bar.action == "review") {
    scene.want(SetDay{0});
    scene.go(ScreenId::review);
  }
  finish(scene);
}

}  // namespace nthtree::screens
