// SPDX-License-Identifier: Apache-2.0
// Where to go back, and is it worth it: the rows that stand wrong, what an hour there brings, and
// why. A proposal with its reasons; who knows the trees decides.
#include "orchard/row_list.h"
#include "screens/each_screen.h"
#include "screens/parts/frame.h"
#include "screens/parts/parts.h"
#include "screens/parts/sorted_table.h"
#include "screens/parts/stretch.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

using advice::Stretch;

constexpr const char* shown_field = "back/shown";

std::string id_of(const Stretch& stretch) {
  return "stretch/" + stretch.block + "/" + stretch.person + "/" +
         std::to_string(stretch.rows.front());
}

// What the farm has not set, and where to set it.
void missing_rates(Frame& frame, const advice::GoingBack& back) {
  const ledger::FarmSettings& farm = frame.season.farm();
  std::string text;
  if (farm.wage_per_hour <= 0) text += tr("back.no_wage") + " ";
  if (farm.hand_thinning_fruitlets_per_hour <= 0) text += tr("back.no_thinning") + " ";
  if (farm.crowding_cost_per_1000_spurs <= 0) text += tr("back.no_crowding");
  if (text.empty()) return;
  if (notice(frame.ui, {.id = "rates", .tone = back.has_rates ? Tone::plain : Tone::caution,
                        .text = text, .action = tr("back.set_rates")})) {
    frame.go(ScreenId::rates);
  }
}

// Too few cannot be put back: lighter on what is left, so that the block's mean comes out.
void what_instead(Frame& frame, const Stretch& stretch) {
  paragraph(frame.ui, tr("back.cannot"));
  const advice::Acceptance& block =
      frame.cache.acceptance(frame.season, stretch.block, frame.now_ms());
  if (block.rest_per_tree.value > 0 && block.rest_possible) {
    paragraph(frame.ui, tr("back.rest", {{"n", whole(block.rest_per_tree.value)}}));
  }
  if (stretch.cost_later > 0) {
    fact(frame.ui, tr("back.shortfall"), money_text(frame.season, stretch.cost_later));
  }
}

void what_it_brings(Frame& frame, const Stretch& stretch, bool has_rates) {
  fact(frame.ui,
       stretch.mended_trees > 0 ? tr_count("back.minutes_learnt", stretch.mended_trees)
                                : tr("back.minutes"),
       number(stretch.minutes_per_tree, 1));
  fact(frame.ui, tr("back.hours", {{"trees", whole(stretch.trees)}}), number(stretch.hours, 1));
  if (!has_rates) return;
  fact(frame.ui, tr("back.cost_now"), money_text(frame.season, stretch.cost_now));
  fact(frame.ui, tr("back.cost_later"), money_text(frame.season, stretch.cost_later));
  fact(frame.ui, tr("back.per_hour"), money_text(frame.season, stretch.gain_per_hour));
  fact(frame.ui, tr("back.chance"), chance_text(stretch.chance_it_pays));
}

void look_first(Frame& frame, const Stretch& stretch) {
  strong_line(frame.ui, tr_count("back.look_n", stretch.looks.looks,
                                 {{"rows", orchard::row_list_text(stretch.rows)}}));
}

void one_stretch(Frame& frame, const Stretch& stretch, bool has_rates) {
  frame.ui.open_card();
  const BackSign sign = sign_of(stretch.what);
  pill(frame.ui, sign.word, sign.tone);
  heading(frame.ui, stretch_text(frame.season, stretch));
  small_print(frame.ui, whose_text(frame, stretch));
  if (stretch.what == advice::Back::look_first) look_first(frame, stretch);
  fact(frame.ui, tr("standing.left"), estimate_text(stretch.spurs_per_tree));
  if (const advice::BlockTarget* target = frame.cache.target(frame.season, stretch.block)) {
    fact(frame.ui, tr("standing.target"), whole(target->target.spurs_to_leave_per_tree.value));
  }
  stretch.what == advice::Back::too_few ? what_instead(frame, stretch)
                                : what_it_brings(frame, stretch, has_rates);
  strong_line(frame.ui, tr("back.why"));
  for (const advice::Reason& reason : stretch.reasons) {
    small_print(frame.ui, reason_text(reason));
  }
  small_print(frame.ui, tr("back.would_change"));
  frame.ui.close_card(frame.ui.theme().card);
  if (choice_row(frame.ui, {.id = id_of(stretch) + "/map", .label = tr("back.on_map"),
                            .detail = stretch_text(frame.season, stretch),
                            .glyph = Glyph::menu})) {
    frame.go(ScreenId::block_map, stretch.block);
  }
}

bool is_shown(const Stretch& stretch) {
  return stretch.what != advice::Back::leave && !stretch.rows.empty();
}

std::string when_text(const Stretch& stretch) {
  if (!stretch.in_time) return ", " + tr("back.late");
  return stretch.in_second_pass ? ", " + tr("back.second_pass") : "";
}

// On a desk: all at a look; the one pressed stands below with its reasons.
void as_table(Frame& frame, const advice::GoingBack& back) {
  SortedTable table("back", tr("back.title"),
                    {{tr("back.what")}, {tr("edit.block.title")}, {tr("rows.rows")},
                     {tr("review.pruned_by")}, {tr("standing.left"), true},
                     {tr("review.over"), true}, {tr("review.hours"), true},
                     {tr("back.cost_now"), true, true}, {tr("back.cost_later"), true, true},
                     {tr(back.has_rates ? "back.per_hour" : "back.spurs_per_hour"), true},
                     {tr("back.chance"), true, true}});
  for (const Stretch& stretch : back.stretches) {
    if (!is_shown(stretch)) continue;
    // Too few cannot be put back: there only the shortfall has its price.
    const bool can = stretch.what != advice::Back::too_few;
    const auto told = [&](bool known, double value, std::string text) {
      return known ? Cell{std::move(text), value} : Cell{"", 0};
    };
    const auto money = [&](bool known, double amount) {
      return told(known && back.has_rates, amount, money_text(frame.season, amount));
    };
    table.add(id_of(stretch),
              {{sign_of(stretch.what).word + when_text(stretch)},
               {block_text(frame.season, stretch.block)},
               {orchard::row_list_text(stretch.rows) + (stretch.inferred ? " ?" : "")},
               {person_text(frame.season, stretch.person)},
               {whole(stretch.spurs_per_tree.value), stretch.spurs_per_tree.value},
               {signed_whole(stretch.over_target.value), stretch.over_target.value},
               told(can, stretch.hours, number(stretch.hours, 1)),
               money(can, stretch.cost_now),
               money(true, stretch.cost_later),
               back.has_rates ? money(can, stretch.gain_per_hour)
                              : told(can, stretch.gain_per_hour, whole(stretch.gain_per_hour)),
               told(can, stretch.chance_it_pays, chance_text(stretch.chance_it_pays))});
  }
  if (const auto id = table.draw(frame)) frame.want(SetField{shown_field, *id});
}

const Stretch& chosen_of(const Frame& frame, const std::vector<const Stretch*>& shown) {
  const std::string chosen = frame.typed(shown_field);
  for (const Stretch* stretch : shown) {
    if (id_of(*stretch) == chosen) return *stretch;
  }
  return *shown.front();
}

void as_list(Frame& frame, const std::vector<const Stretch*>& shown, bool has_rates) {
  bool cut = false;
  for (const Stretch* stretch : shown) {
    if (!stretch->in_time && !cut) heading(frame.ui, tr("back.cut"));
    cut = cut || !stretch->in_time;
    one_stretch(frame, *stretch, has_rates);
  }
}

// In time first, each part in its order; the paper and the list cut at the same place.
std::vector<const Stretch*> shown_of(const advice::GoingBack& back) {
  std::vector<const Stretch*> shown;
  for (const bool in_time : {true, false}) {
    for (const Stretch& stretch : back.stretches) {
      if (is_shown(stretch) && stretch.in_time == in_time) shown.push_back(&stretch);
    }
  }
  return shown;
}

}  // namespace

void draw_going_back(Frame& frame) {
  open(frame, {.key = "going_back", .title = tr("back.title"), .full = true});
  const advice::GoingBack& back = frame.cache.going_back(frame.season, frame.now_ms());
  const std::vector<const Stretch*> shown = shown_of(back);
  if (shown.empty()) {
    empty_state(frame.ui, {.id = "none", .glyph = Glyph::check, .text = tr("back.empty")});
  } else {
    small_print(frame.ui, tr("back.text"));
  }
  missing_rates(frame, back);
  if (!shown.empty() && frame.ui.desk()) {
    as_table(frame, back);
    one_stretch(frame, chosen_of(frame, shown), back.has_rates);
  } else {
    as_list(frame, shown, back.has_rates);
  }
  menu_row(frame, "tomorrow", ScreenId::tomorrow);
  finish(frame);
}

}  // namespace nthtree::screens
