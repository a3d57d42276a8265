// SPDX-License-Identifier: Apache-2.0
// Who goes where tomorrow: a proposal with its reasons, when each block ends against its green tip,
// and what comes of sending a gang elsewhere, answered at once.
#include "screens/each_screen.h"
#include "screens/parts/gangs.h"
#include "screens/parts/parts.h"
#include "screens/parts/scene.h"
#include "screens/parts/sorted_table.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

using advice::BlockEnd;
using advice::Gang;
using advice::Tomorrow;

// Of a few gangs each shows its blocks; of many one at a time, or the page would never end.
constexpr std::size_t gangs_open = 4;
constexpr const char* open_field = "tomorrow_open";

std::string ends_text(const BlockEnd& end) {
  if (!end.has_end) return tr("tomorrow.no_end");
  if (end.end_day_early == end.end_day_late) return date_text(end.end_day);
  return tr("tomorrow.ends", {{"date", date_text(end.end_day)},
                              {"early", date_text(end.end_day_early)},
                              {"late", date_text(end.end_day_late)}});
}

std::string in_time_of(const BlockEnd& end) {
  if (!end.has_green_tip) return tr("tomorrow.no_green_tip");
  return tr("tomorrow.chance", {{"n", of_100(end.chance_in_time)},
                                {"date", date_text(end.green_tip_day)}});
}

void totals(Scene& scene, const Tomorrow& plan, bool changed) {
  fact(scene.ui, tr(changed ? "tomorrow.late_changed" : "tomorrow.late"), whole(plan.trees_late));
  fact(scene.ui, tr("tomorrow.late_as_now"), whole(plan.trees_late_as_now));
}

void blocks(Scene& scene, const Tomorrow& plan) {
  heading(scene.ui, tr("farm.blocks"));
  if (scene.ui.desk()) {
    SortedTable table("tomorrow_blocks", tr("farm.blocks"),
                      {{tr("edit.block.title")}, {tr("tomorrow.trees_left"), true},
                       {tr("tomorrow.end")}, {tr("tomorrow.in_time")},
                       {tr("tomorrow.trees_late"), true}});
    for (const BlockEnd& end : plan.blocks) {
      table.add("", {{block_text(scene.season, end.block)},
                     {whole(end.trees_left), end.trees_left},
                     {ends_text(end)},
                     {in_time_of(end)},
                     {whole(end.trees_late), end.trees_late}});
    }
    table.draw(scene);
    return;
  }
  for (const BlockEnd& end : plan.blocks) {
    scene.ui.open_card();
    strong_line(scene.ui, block_text(scene.season, end.block));
    fact(scene.ui, tr("tomorrow.trees_left"), whole(end.trees_left));
    paragraph(scene.ui, ends_text(end));
    const bool late = end.has_green_tip && end.chance_in_time < 0.5;
    pill(scene.ui, in_time_of(end), late ? Tone::caution : Tone::plain);
    if (end.trees_late >= 1) fact(scene.ui, tr("tomorrow.trees_late"), whole(end.trees_late));
    scene.ui.close_card(scene.ui.theme().card);
  }
}

void reasons(Scene& scene, const Gang& gang) {
  for (const advice::Reason& reason : gang.reasons) small_print(scene.ui, reason_text(reason));
}

// Every block is one tap away, and the dates beside it answer at once.
void where_to(Scene& scene, const Tomorrow& plan, const Gang& gang) {
  std::vector<widgets::ChoiceRow> rows;
  int now = -1;
  for (const BlockEnd& end : plan.blocks) {
    if (end.block == gang.block) now = static_cast<int>(rows.size());
    rows.push_back({.id = "to/" + gang.key() + "/" + end.block,
                    .label = block_text(scene.season, end.block),
                    .detail = end.block == gang.block_now ? tr("tomorrow.is_now") : "",
                    .trailing = end.has_end ? date_text(end.end_day) : ""});
  }
  const std::string label = tr("tomorrow.to", {{"gang", gang_text(scene.season, gang)}});
  const int chosen = radio_list(
      scene.ui, {.id = "to/" + gang.key(), .label = label, .items = rows, .selected = now});
  if (chosen != now && chosen >= 0) {
    scene.want(SetField{sent_field(gang),
                        plan.blocks[static_cast<std::size_t>(chosen)].block});
  }
}

void one_gang(Scene& scene, const Tomorrow& plan, const Gang& gang) {
  heading(scene.ui, gang_text(scene.season, gang));
  small_print(scene.ui, tr_count("tomorrow.people", static_cast<long>(gang.people.size()),
                                 {{"rate", number(gang.trees_per_hour, 0)}}));
  const auto open = scene.session.fields.find(open_field);
  const bool is_open = plan.gangs.size() <= gangs_open ||
                       (open != scene.session.fields.end() && open->second == gang.key());
  if (is_open) {
    where_to(scene, plan, gang);
  } else if (choice_row(scene.ui, {.id = "gang/" + gang.key(),
                                   .label = block_text(scene.season, gang.block),
                                   .trailing = tr("change"),
                                   .arrow = false})) {
    scene.want(SetField{open_field, gang.key()});
  }
  reasons(scene, gang);
}

void gangs(Scene& scene, const Tomorrow& plan, bool changed) {
  for (const Gang& gang : plan.gangs) one_gang(scene, plan, gang);
  if (changed && button(scene.ui, {.id = "as_proposed", .label = tr("tomorrow.as_proposed"),
                                   .kind = Kind::quiet, .glyph = Glyph::undo})) {
    for (const Gang& gang : plan.gangs) scene.want(SetField{sent_field(gang), ""});
  }
}

}  // namespace

void draw_tomorrow(Scene& scene) {
  open(scene, {.key = "tomorrow", .title = tr("tomorrow.title"), .full = true});
  const Tomorrow& plan = tomorrow_of(scene);
  const bool changed = is_sent_elsewhere(scene);
  if (plan.gangs.empty() || plan.blocks.empty()) {
    const bool done = plan.blocks.empty() && !scene.season.blocks().empty();
    empty_state(scene.ui, {.id = "none", .glyph = Glyph::person,
                           .text = tr(done ? "tomorrow.all_done" : "tomorrow.empty")});
    return finish(scene);
  }
  small_print(scene.ui, tr("tomorrow.text"));
  totals(scene, plan, changed);
  side_by_side(scene, [&] { gangs(scene, plan, changed); }, [&] { blocks(scene, plan); });
  small_print(scene.ui, tr("tomorrow.would_change"));
  menu_row(scene, "word", tr("word.title"), ScreenId::morning_word, Glyph::note);
  finish(scene);
}

}  // namespace nthtree::screens
