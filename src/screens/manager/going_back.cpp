// SPDX-License-Identifier: Apache-2.0
// Where to go back, and is it worth it: the rows that stand wrong, what an hour there brings, and
// why. A proposal with its reasons; who knows the trees decides.
#include "orchard/row_list.h"
#include "screens/each_screen.h"
#include "screens/parts/parts.h"
#include "screens/parts/scene.h"
#include "screens/parts/sorted_table.h"
#include "screens/parts/stretch.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

using advice::Back;
using advice::Stretch;

constexpr const char* shown_field = "back/shown";

std::string id_of(const Stretch& stretch) {
  return "stretch/" + stretch.block + "/" + stretch.person + "/" +
         std::to_string(stretch.rows.front());
}

// What the farm has not set, and where to set it.
void missing_rates(Scene& scene, const advice::GoingBack& back) {
  const ledger::FarmSettings& farm = scene.season.farm();
  std::string text;
  if (farm.wage_per_hour <= 0) text += tr("back.no_wage") + " ";
  if (farm.hand_thinning_fruitlets_per_hour <= 0) text += tr("back.no_thinning") + " ";
  if (farm.crowding_cost_per_1000_spurs <= 0) text += tr("back.no_crowding");
  if (text.empty()) return;
  if (notice(scene.ui, {.id = "rates", .tone = back.has_rates ? Tone::plain : Tone::caution,
                        .text = text, .action = tr("back.set_rates")})) {
    scene.go(ScreenId::rates);
  }
}

// Too few cannot be put back: lighter on what is left, so that the block's mean comes out.
void what_instead(Scene& scene, const Stretch& stretch) {
  paragraph(scene.ui, tr("back.cannot"));
  const advice::Acceptance& block =
      scene.reckoning.acceptance(scene.season, stretch.block, scene.now_ms());
  if (block.rest_per_tree.value > 0 && block.rest_possible) {
    paragraph(scene.ui, tr("back.rest", {{"n", whole(block.rest_per_tree.value)}}));
  }
  if (stretch.cost_later > 0) {
    fact(scene.ui, tr("back.shortfall"), money_text(scene.season, stretch.cost_later));
  }
}

void what_it_brings(Scene& scene, const Stretch& stretch, bool has_rates) {
  fact(scene.ui, tr("back.minutes"), number(stretch.minutes_per_tree, 1));
  fact(scene.ui, tr("back.hours", {{"trees", whole(stretch.trees)}}), number(stretch.hours, 1));
  if (!has_rates) return;
  fact(scene.ui, tr("back.cost_now"), money_text(scene.season, stretch.cost_now));
  fact(scene.ui, tr("back.cost_later"), money_text(scene.season, stretch.cost_later));
  fact(scene.ui, tr("back.per_hour"), money_text(scene.season, stretch.gain_per_hour));
  fact(scene.ui, tr("back.chance"), of_100(stretch.chance_it_pays));
}

void look_first(Scene& scene, const Stretch& stretch) {
  strong_line(scene.ui, tr_count("back.look_n", stretch.looks.looks,
                                 {{"rows", orchard::row_list_text(stretch.rows)}}));
}

void one_stretch(Scene& scene, const Stretch& stretch, bool has_rates) {
  scene.ui.open_card();
  const BackSign sign = sign_of(stretch.what);
  pill(scene.ui, sign.word, sign.tone);
  heading(scene.ui, stretch_text(scene.season, stretch));
  small_print(scene.ui, whose_text(scene, stretch));
  if (stretch.what == Back::look_first) look_first(scene, stretch);
  fact(scene.ui, tr("standing.left"), estimate_text(stretch.spurs_per_tree));
  if (const advice::BlockTarget* target = scene.reckoning.target(scene.season, stretch.block)) {
    fact(scene.ui, tr("standing.target"), whole(target->target.spurs_to_leave_per_tree.value));
  }
  stretch.what == Back::too_few ? what_instead(scene, stretch)
                                : what_it_brings(scene, stretch, has_rates);
  strong_line(scene.ui, tr("back.why"));
  for (const advice::Reason& reason : stretch.reasons) {
    small_print(scene.ui, reason_text(reason));
  }
  small_print(scene.ui, tr("back.would_change"));
  scene.ui.close_card(scene.ui.theme().card);
  if (choice_row(scene.ui, {.id = id_of(stretch) + "/map", .label = tr("back.on_map"),
                            .detail = stretch_text(scene.season, stretch),
                            .glyph = Glyph::menu})) {
    scene.go(ScreenId::block_map, stretch.block);
  }
}

bool is_shown(const Stretch& stretch) {
  return stretch.what != Back::leave && !stretch.rows.empty();
}

// On a desk: all at a look; the one pressed stands below with its reasons.
void as_table(Scene& scene, const advice::GoingBack& back) {
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
    const bool can = stretch.what != Back::too_few;
    const auto told = [&](bool known, double value, std::string text) {
      return known ? Cell{std::move(text), value} : Cell{"", 0};
    };
    const auto money = [&](bool known, double amount) {
      return told(known && back.has_rates, amount, money_text(scene.season, amount));
    };
    table.add(id_of(stretch),
              {{sign_of(stretch.what).word + (stretch.in_time ? "" : ", " + tr("back.late"))},
               {block_text(scene.season, stretch.block)},
               {orchard::row_list_text(stretch.rows) + (stretch.inferred ? " ?" : "")},
               {person_text(scene.season, stretch.person)},
               {whole(stretch.spurs_per_tree.value), stretch.spurs_per_tree.value},
               {signed_whole(stretch.over_target.value), stretch.over_target.value},
               told(can, stretch.hours, number(stretch.hours, 1)),
               money(can, stretch.cost_now),
               money(true, stretch.cost_later),
               back.has_rates ? money(can, stretch.gain_per_hour)
                              : told(can, stretch.gain_per_hour, whole(stretch.gain_per_hour)),
               told(can, stretch.chance_it_pays, of_100(stretch.chance_it_pays))});
  }
  if (const auto id = table.draw(scene)) scene.want(SetField{shown_field, *id});
}

const Stretch& chosen_of(const Scene& scene, const std::vector<const Stretch*>& shown) {
  const std::string chosen = scene.typed(shown_field);
  for (const Stretch* stretch : shown) {
    if (id_of(*stretch) == chosen) return *stretch;
  }
  return *shown.front();
}

void as_list(Scene& scene, const std::vector<const Stretch*>& shown, bool has_rates) {
  bool cut = false;
  for (const Stretch* stretch : shown) {
    if (!stretch->in_time && !cut) heading(scene.ui, tr("back.cut"));
    cut = cut || !stretch->in_time;
    one_stretch(scene, *stretch, has_rates);
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

void draw_going_back(Scene& scene) {
  open(scene, {.key = "going_back", .title = tr("back.title"), .full = true});
  const advice::GoingBack& back = scene.reckoning.going_back(scene.season, scene.now_ms());
  const std::vector<const Stretch*> shown = shown_of(back);
  if (shown.empty()) {
    empty_state(scene.ui, {.id = "none", .glyph = Glyph::check, .text = tr("back.empty")});
  } else {
    small_print(scene.ui, tr("back.text"));
  }
  missing_rates(scene, back);
  if (!shown.empty() && scene.ui.desk()) {
    as_table(scene, back);
    one_stretch(scene, chosen_of(scene, shown), back.has_rates);
  } else {
    as_list(scene, shown, back.has_rates);
  }
  menu_row(scene, "tomorrow", tr("tomorrow.title"), ScreenId::tomorrow, Glyph::forward);
  finish(scene);
}

}  // namespace nthtree::screens
