// SPDX-License-Identifier: Apache-2.0
// The manager's first screen: each block in one line, and the way to set up, review, export.
#include "screens/each_screen.h"
#include "screens/manager/review_parts.h"
#include "screens/parts/frame.h"
#include "screens/parts/parts.h"
#include "screens/parts/sorted_table.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

std::string block_detail(Frame& frame, const std::string& id) {
  const advice::BlockTarget* target = frame.cache.target(frame.season, id);
  if (!target) return tr("block.no_target");
  const std::string wanted = whole(target->target.spurs_to_leave_per_tree.value);
  const advice::Acceptance& done = frame.cache.acceptance(frame.season, id, frame.now_ms());
  const std::string first =
      done.counts > 0
          ? tr("manager.left_of", {{"n", whole(done.mean.value)}, {"target", wanted}})
          : tr("block.leave", {{"n", wanted}});
  return first + ". " + reason_text(done.reason);
}

// On a desk: every block's state at a look, sorted by whatever is asked.
void blocks_table(Frame& frame) {
  SortedTable table("home_blocks", tr("manager.blocks"),
                    {{tr("edit.block.title")},
                     {tr("edit.variety"), false, true},
                     {tr("review.accepted")},
                     {tr("standing.left"), true},
                     {tr("standing.target"), true},
                     {tr("review.counts"), true, true},
                     {tr("review.trees"), true}});
  for (const auto& [id, block] : frame.season.blocks()) {
    const advice::BlockTarget* target = frame.cache.target(frame.season, id);
    const advice::Acceptance& done = frame.cache.acceptance(frame.season, id, frame.now_ms());
    const double wanted = target ? target->target.spurs_to_leave_per_tree.value : 0;
    const double left = done.counts > 0 ? done.mean.value : 0;
    const auto spurs = [](double n) { return Cell{n > 0 ? whole(n) : "", n}; };
    table.add(id, {{block_text(frame.season, id)},
                   {block.block ? block.block->variety : ""},
                   {target ? block_state(done.kind) : tr("block.no_target")},
                   spurs(left),
                   spurs(wanted),
                   spurs(done.counts),
                   {whole(static_cast<double>(done.trees_done)) + " / " +
                        whole(static_cast<double>(done.trees)),
                    static_cast<double>(done.trees_done)}});
  }
  if (const auto id = table.draw(frame)) frame.go(ScreenId::block_map, *id);
}

void blocks_part(Frame& frame) {
  if (frame.season.blocks().empty()) {
    if (empty_state(frame.ui, {.id = "no_blocks", .glyph = Glyph::tree,
                               .title = tr("manager.blocks"), .text = tr("block.empty"),
                               .action = tr("farm.block_add")})) {
      frame.go(ScreenId::edit_block);
    }
    return;
  }
  heading(frame.ui, tr("manager.blocks"));
  if (frame.ui.desk()) return blocks_table(frame);
  for (const auto& [id, block] : frame.season.blocks()) {
    if (choice_row(frame.ui, {.id = "block/" + id, .label = block_text(frame.season, id),
                              .detail = block_detail(frame, id),
                              .glyph = Glyph::tree})) {
      frame.go(ScreenId::block_map, id);
    }
  }
}

// What does not stand at the side.
void tasks_beside_places(Frame& frame) {
  frame.ui.row({1, 1, 1},
               [&] { menu_row(frame, "hand_over", ScreenId::hand_over); },
               [&] { menu_row(frame, "cautions", ScreenId::cautions); },
               [&] { menu_row(frame, "help", ScreenId::help); });
}

void tasks_part(Frame& frame) {
  heading(frame.ui, tr("home.menu"));
  if (frame.ui.desk()) return tasks_beside_places(frame);
  menu_row(frame, "going_back", ScreenId::going_back);
  menu_row(frame, "tomorrow", ScreenId::tomorrow);
  menu_row(frame, "word", ScreenId::morning_word);
  menu_row(frame, "when", ScreenId::when_to_prune);
  menu_row(frame, "years", ScreenId::years);
  menu_row(frame, "papers", ScreenId::papers);
  menu_row(frame, "farm", ScreenId::set_up);
  menu_row(frame, "history", ScreenId::history);
  menu_row(frame, "share", ScreenId::share);
  menu_row(frame, "scan_tag", ScreenId::scan_tag);
  menu_row(frame, "hand_over", ScreenId::hand_over);
  menu_row(frame, "choose", ScreenId::choose_block,
           frame.session.block.empty() ? "" : block_text(frame.season, frame.session.block));
  if (!frame.session.block.empty()) {
    menu_row(frame, "brief", ScreenId::brief);
    menu_row(frame, "buds", ScreenId::buds);
    menu_row(frame, "second_pass", ScreenId::second_pass);
    menu_row(frame, "frost", ScreenId::frost);
    menu_row(frame, "harvest", ScreenId::harvest);
    menu_row(frame, "return_bloom", ScreenId::return_bloom);
  }
  last_menu_rows(frame);
}

// The office begins with what needs a decision, as the day's review does.
void decisions_today(Frame& frame) {
  const advice::DayReview& review =
      frame.cache.review(frame.season, shown_day(frame), frame.now_ms());
  side_by_side(frame, [&] { to_decide(frame, review); }, [&] { changed_since(frame, review); });
}

}  // namespace

void draw_manager_home(Frame& frame) {
  const std::string& farm = frame.season.farm().name;
  // A farm without blocks has one thing to do, and it is not the day's review.
  std::vector<widgets::Action> actions;
  if (!frame.season.blocks().empty() && !frame.ui.desk()) {  // there it stands at the side
    actions.push_back({.id = "review", .label = tr("manager.review")});
  }
  open(frame, {.key = "manager", .title = farm.empty() ? tr("manager.farm") : farm,
               .actions = actions, .back = false, .full = true});
  unfinished(frame);
  clocks_ahead(frame);
  const auto blocks = [&] { blocks_part(frame); };
  const auto tasks = [&] { tasks_part(frame); };
  if (frame.ui.desk()) {
    if (!frame.season.blocks().empty()) decisions_today(frame);
    blocks();
    tasks();
  } else {
    side_by_side(frame, blocks, tasks);
  }
  if (frame.bar.action == "review") {
    frame.want(SetDay{0});
    frame.go(ScreenId::review);
  }
  finish(frame);
}

}  // namespace nthtree::screens
