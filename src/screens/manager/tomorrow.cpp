// SPDX-License-Identifier: Apache-2.0
// Who goes where tomorrow: a proposal with its reasons, when each block ends against its green tip,
// and what comes of sending a gang elsewhere, answered at once.
#include "screens/each_screen.h"
#include "screens/parts/frame.h"
#include "screens/parts/gangs.h"
#include "screens/parts/parts.h"
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
  return tr("tomorrow.chance", {{"n", chance_text(end.chance_in_time)},
                                {"date", date_text(end.green_tip_day)}});
}

void totals(Frame& frame, const Tomorrow& plan, bool changed) {
  fact(frame.ui, tr(changed ? "tomorrow.late_changed" : "tomorrow.late"), whole(plan.trees_late));
  fact(frame.ui, tr("tomorrow.late_as_now"), whole(plan.trees_late_as_now));
}

void blocks(Frame& frame, const Tomorrow& plan) {
  heading(frame.ui, tr("farm.blocks"));
  if (frame.ui.desk()) {
    SortedTable table("tomorrow_blocks", tr("farm.blocks"),
                      {{tr("edit.block.title")}, {tr("tomorrow.trees_left"), true},
                       {tr("tomorrow.end")}, {tr("tomorrow.in_time")},
                       {tr("tomorrow.trees_late"), true}});
    for (const BlockEnd& end : plan.blocks) {
      table.add("", {{block_text(frame.season, end.block)},
                     {whole(end.trees_left), end.trees_left},
                     {ends_text(end)},
                     {in_time_of(end)},
                     {whole(end.trees_late), end.trees_late}});
    }
    table.draw(frame);
    return;
  }
  for (const BlockEnd& end : plan.blocks) {
    frame.ui.open_card();
    strong_line(frame.ui, block_text(frame.season, end.block));
    fact(frame.ui, tr("tomorrow.trees_left"), whole(end.trees_left));
    paragraph(frame.ui, ends_text(end));
    const bool late = end.has_green_tip && end.chance_in_time < 0.5;
    pill(frame.ui, in_time_of(end), late ? Tone::caution : Tone::plain);
    if (end.trees_late >= 1) fact(frame.ui, tr("tomorrow.trees_late"), whole(end.trees_late));
    frame.ui.close_card(frame.ui.theme().card);
  }
}

void reasons(Frame& frame, const Gang& gang) {
  for (const advice::Reason& reason : gang.reasons) small_print(frame.ui, reason_text(reason));
}

// Every block is one tap away, and the dates beside it answer at once.
void where_to(Frame& frame, const Tomorrow& plan, const Gang& gang) {
  std::vector<widgets::ChoiceRow> rows;
  int now = -1;
  for (const BlockEnd& end : plan.blocks) {
    if (end.block == gang.block) now = static_cast<int>(rows.size());
    rows.push_back({.id = "to/" + gang.key() + "/" + end.block,
                    .label = block_text(frame.season, end.block),
                    .detail = end.block == gang.block_now ? tr("tomorrow.is_now") : "",
                    .trailing = end.has_end ? date_text(end.end_day) : ""});
  }
  const std::string label = tr("tomorrow.to", {{"gang", gang_text(frame.season, gang)}});
  const int chosen = radio_list(
      frame.ui, {.id = "to/" + gang.key(), .label = label, .items = rows, .selected = now});
  if (chosen != now && chosen >= 0) {
    frame.want(SetField{sent_field(gang),
                        plan.blocks[static_cast<std::size_t>(chosen)].block});
  }
}

void one_gang(Frame& frame, const Tomorrow& plan, const Gang& gang) {
  heading(frame.ui, gang_text(frame.season, gang));
  small_print(frame.ui, tr_count("tomorrow.people", static_cast<long>(gang.people.size()),
                                 {{"rate", number(gang.trees_per_hour, 0)}}));
  const auto open = frame.session.fields.find(open_field);
  const bool is_open = plan.gangs.size() <= gangs_open ||
                       (open != frame.session.fields.end() && open->second == gang.key());
  if (is_open) {
    where_to(frame, plan, gang);
  } else if (choice_row(frame.ui, {.id = "gang/" + gang.key(),
                                   .label = block_text(frame.season, gang.block),
                                   .trailing = tr("change"),
                                   .arrow = false})) {
    frame.want(SetField{open_field, gang.key()});
  }
  reasons(frame, gang);
}

void gangs(Frame& frame, const Tomorrow& plan, bool changed) {
  for (const Gang& gang : plan.gangs) one_gang(frame, plan, gang);
  if (changed && button(frame.ui, {.id = "as_proposed", .label = tr("tomorrow.as_proposed"),
                                   .kind = Kind::quiet, .glyph = Glyph::undo})) {
    for (const Gang& gang : plan.gangs) frame.want(SetField{sent_field(gang), ""});
  }
}

}  // namespace

void draw_tomorrow(Frame& frame) {
  open(frame, {.key = "tomorrow", .title = tr("tomorrow.title"), .full = true});
  const Tomorrow& plan = tomorrow_of(frame);
  const bool changed = is_sent_elsewhere(frame);
  if (plan.gangs.empty() || plan.blocks.empty()) {
    const bool done = plan.blocks.empty() && !frame.season.blocks().empty();
    empty_state(frame.ui, {.id = "none", .glyph = Glyph::person,
                           .text = tr(done ? "tomorrow.all_done" : "tomorrow.empty")});
    return finish(frame);
  }
  small_print(frame.ui, tr("tomorrow.text"));
  totals(frame, plan, changed);
  side_by_side(frame, [&] { gangs(frame, plan, changed); }, [&] { blocks(frame, plan); });
  small_print(frame.ui, tr("tomorrow.would_change"));
  menu_row(frame, "word", ScreenId::morning_word);
  finish(frame);
}

}  // namespace nthtree::screens
