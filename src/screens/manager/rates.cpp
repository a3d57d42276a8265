// SPDX-License-Identifier: Apache-2.0
// The farm's own rates, units, and how sure to be before advice is given.
#include <cmath>
#include <optional>

#include "advice/review/cost.h"
#include "ledger/record_table.h"
#include "orchard/limits.h"
#include "orchard/units.h"
#include "screens/each_screen.h"
#include "screens/parts/form.h"
#include "screens/parts/frame.h"
#include "screens/parts/parts.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

namespace limits = orchard::limits;

std::string ratio_hint(Frame& frame) {
  double proposed = 1;
  if (!frame.session.block.empty()) {
    const advice::Cost cost =
        advice::cost_of(frame.season, frame.session.block, frame.now_ms());
    if (cost.has_rates && cost.cost_ratio > 0) proposed = cost.cost_ratio;
  }
  return tr("rates.ratio_hint", {{"n", number(proposed, 1)}});
}

// Price is kept a kilogram; where the farm speaks in pounds it is typed a pound.
double price_shown(double per_kg, bool us) { return us ? per_kg * orchard::kg_per_lb : per_kg; }

// What the minutes typed would be spent on, in the block at hand or else the first.
void planned_part(Frame& frame, const advice::MinutesWish& wish) {
  std::string block = frame.session.block;
  if (block.empty() && !frame.season.blocks().empty()) block = frame.season.blocks().begin()->first;
  const std::string plan =
      plan_sentence(frame.cache.plan(frame.season, block, wish, frame.now_ms()));
  if (plan.empty()) return;
  frame.ui.open_card();
  small_print(frame.ui, block_text(frame.season, block));
  paragraph(frame.ui, plan);
  frame.ui.close_card(frame.ui.theme().card);
}

}  // namespace

void draw_rates(Frame& frame) {
  open(frame, {.key = "rates", .title = tr("rates.title"),
               .actions = {{.id = "keep", .label = keep_label(frame, tr("rates.keep"))}}});
  Form form(frame);
  ledger::FarmSettings farm = frame.season.farm();
  farm.name = form.text({.id = "farm/name", .label = tr("rates.farm"), .value = farm.name});
  farm.us_units = form.choice("farm/us", tr("rates.units"), {tr("rates.metric"), tr("rates.us")},
                              farm.us_units ? 1 : 0) == 1;
  const auto ask = [&](const char* id, const std::string& label, double value,
                       orchard::Range range, int decimals, const std::string& hint = {}) {
    const auto typed = form.number({.id = id, .label = label, .value = value, .range = range,
                                    .decimals = decimals, .hint = hint});
    return typed.value_or(value);
  };
  farm.hours_per_day =
      ask("farm/hours", tr("rates.hours"), farm.hours_per_day, limits::hours_per_day, 2);
  farm.currency = form.text({.id = "farm/currency", .label = tr("rates.currency"),
                             .value = farm.currency, .letters_max = 4, .optional = true,
                             .hint = tr("rates.currency_hint")});
  farm.wage_per_hour = ask("farm/wage", tr("rates.wage"), farm.wage_per_hour, limits::money, 2);
  const double shown = price_shown(farm.fruit_price_per_kg, farm.us_units);
  const double price = ask("farm/price", tr("rates.price", {{"unit", farm.us_units ? "lb" : "kg"}}),
                           shown,
                           {limits::money.low, price_shown(limits::money.high, farm.us_units)}, 3);
  if (std::fabs(price - shown) >= 0.0005) {  // left alone, it stays as it was
    farm.fruit_price_per_kg = farm.us_units ? price / orchard::kg_per_lb : price;
  }
  farm.hand_thinning_fruitlets_per_hour =
      ask("farm/thinning", tr("rates.thinning"), farm.hand_thinning_fruitlets_per_hour,
          limits::fruitlets_per_hour, 0);
  farm.crowding_cost_per_1000_spurs =
      ask("farm/crowding", tr("rates.crowding"), farm.crowding_cost_per_1000_spurs, limits::money,
          2, tr("rates.crowding_hint"));
  farm.sureness =
      ask("farm/sureness", tr("rates.sureness"), 100 * farm.sureness,
          {100 * limits::sureness.low, 100 * limits::sureness.high}, 0) / 100;
  farm.too_many_cost_ratio = ask("farm/ratio", tr("rates.ratio"), farm.too_many_cost_ratio,
                                 limits::cost_ratio, 2, ratio_hint(frame));
  const auto ask_minutes = [&](const char* id, const char* label, std::optional<double>& planned) {
    const double minutes = ask(id, tr(label), planned.value_or(0), limits::plan_minutes, 0);
    planned = minutes > 0 ? std::optional<double>(minutes) : std::nullopt;
  };
  ask_minutes("farm/pruner_minutes", "plan.pruner_minutes", farm.pruner_minutes_per_day);
  ask_minutes("farm/lead_minutes", "plan.lead_minutes", farm.lead_minutes_per_day);
  planned_part(frame, {farm.pruner_minutes_per_day.value_or(0),
                       farm.lead_minutes_per_day.value_or(0)});
  set_clock(frame, farm);
  const int offset = frame.season.time_zone().offset_minutes(frame.now_ms());
  small_print(frame.ui, tr("rates.clock", {{"offset", ledger::offset_text(offset)}}));
  if (frame.bar.action == "keep") form.keep(farm);
  finish(frame);
}

}  // namespace nthtree::screens
