// SPDX-License-Identifier: Apache-2.0
// One block: where it stands, its target worked out as it is typed, and what that means.
#include <algorithm>
#include <cmath>
#include <iterator>
#include <set>

#include "advice/next/sampling_plan.h"
#include "orchard/limits.h"
#include "orchard/units.h"
#include "screens/each_screen.h"
#include "screens/set_up/consequences.h"
#include "screens/parts/form.h"
#include "screens/parts/new_id.h"
#include "screens/parts/parts.h"
#include "screens/parts/frame.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

using orchard::Block;
using orchard::Range;
namespace limits = orchard::limits;

const orchard::YieldUnit units_offered[] = {
    orchard::YieldUnit::boxes_per_acre, orchard::YieldUnit::bins_per_acre,
    orchard::YieldUnit::lb_per_acre, orchard::YieldUnit::t_per_ha, orchard::YieldUnit::kg_per_ha,
    orchard::YieldUnit::boxes_per_ha, orchard::YieldUnit::bins_per_ha,
    orchard::YieldUnit::kg_per_acre, orchard::YieldUnit::t_per_acre};

char lower(char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; }

// ASCII letters without regard to their size: good enough for names of varieties.
bool begins_a_word(const std::string& name, const std::string& typed) {
  for (std::size_t from = 0; from + typed.size() <= name.size(); ++from) {
    if (from > 0 && name[from - 1] != ' ') continue;
    const auto same = [](char a, char b) { return lower(a) == lower(b); };
    if (std::equal(typed.begin(), typed.end(), name.begin() + static_cast<long>(from), same)) {
      return true;
    }
  }
  return false;
}

// One block being typed: the fields, and the block as they make it.
class BlockForm {
 public:
  BlockForm(Frame& frame, const std::string& id)
      : frame_(frame), form_(frame), key_("block/" + id + "/"), us_(frame.us_units()) {
    const ledger::BlockSeason* known = id.empty() ? nullptr : frame.season.block(id);
    if (known && known->block)
      block_ = *known->block;
    else
      block_.target.fruits_per_tree.reset();
    block_.id = id;
    known_ = known;
  }

  void place();
  void target();
  void counting();
  void station();
  const Block& block() const { return block_; }
  void keep(Block block) { form_.keep(ledger::BlockSettings{std::move(block)}); }

 private:
  std::optional<double> ask(const char* id, const std::string& label, std::optional<double> value,
                            Range range, int decimals, bool optional = false,
                            const std::string& hint = {}) {
    return form_.number({.id = key_ + id,
                         .label = label,
                         .value = value,
                         .range = range,
                         .decimals = decimals,
                         .optional = optional,
                         .hint = hint});
  }
  int whole_number(const char* id, const std::string& label, int value, Range range) {
    const bool stands = value > 0;
    const auto typed =
        ask(id, label, stands ? std::optional<double>(value) : std::nullopt, range, 0);
    return static_cast<int>(typed.value_or(value));
  }
  struct Measure {
    const char* unit;
    double metric = 1;  // metres or kilograms in one of it
  };
  double measured(const char* id, const char* key, const Measure& by, double kept, Range range);
  double spacing(const char* id, const char* key, double metres, Range range_m) {
    const Measure by = us_ ? Measure{"ft", orchard::metres_per_foot} : Measure{"m"};
    return measured(id, key, by, metres, range_m);
  }
  double weight(const char* id, const char* key, double kg, Range range_kg) {
    const Measure by = us_ ? Measure{"lb", orchard::kg_per_lb} : Measure{"kg"};
    return measured(id, key, by, kg, range_kg);
  }
  std::vector<orchard::Variety> varieties() const {
    return orchard::with_changes(frame_.session.varieties, frame_.season.variety_changes());
  }
  void suggest_varieties();
  void from_variety();
  void fit_stride();
  void yield_goal();
  void trunk();
  void plan();

  Frame& frame_;
  Form form_;
  std::string key_;
  bool us_;
  Block block_;
  const ledger::BlockSeason* known_ = nullptr;
};

// A length or weight asked for in the farm's unit and kept in metric: left alone, it stays as it
// was; typed, it comes back as it was typed (12 ft, not 12.01, where 3.66 m are kept).
double BlockForm::measured(const char* id, const char* key, const Measure& by, double kept,
                           Range range) {
  constexpr double slack = 0.005;  // a centimetre, ten grams: nobody measures finer
  const double stands = roundest(kept / by.metric, slack / by.metric);
  const Range asked{std::ceil(range.low / by.metric * 10) / 10,
                    std::floor(range.high / by.metric * 10) / 10};
  const auto typed = ask(id, tr(key, {{"unit", by.unit}}),
                         kept > 0 ? std::optional<double>(stands) : std::nullopt, asked, 2);
  if (!typed || std::fabs(*typed - stands) < 1e-9) return kept;
  return *typed * by.metric;
}

void BlockForm::place() {
  block_.name = form_.text(
      {.id = key_ + "name", .label = tr("edit.name"), .value = block_.name, .letters_max = 40});
  block_.variety = form_.text({.id = key_ + "variety",
                               .label = tr("edit.variety"),
                               .value = block_.variety,
                               .letters_max = 40});
  suggest_varieties();
  from_variety();
  block_.rows = whole_number("rows", tr("edit.rows"), block_.rows, limits::rows);
  const int trees =
      whole_number("trees", tr("edit.trees_per_row"), block_.trees_per_row, limits::trees_per_row);
  // Rows of their own lengths are kept only while the number of rows and the usual length stand.
  if (trees != block_.trees_per_row ||
      block_.row_lengths.size() != static_cast<std::size_t>(block_.rows)) {
    block_.row_lengths.clear();
  }
  block_.trees_per_row = trees;
  block_.spacing.row_m =
      spacing("row_m", "edit.row_spacing", block_.spacing.row_m, limits::row_spacing_m);
  block_.spacing.tree_m =
      spacing("tree_m", "edit.tree_spacing", block_.spacing.tree_m, limits::tree_spacing_m);
  block_.limbs_per_tree =
      whole_number("limbs", tr("edit.limbs"), block_.limbs_per_tree, limits::limbs_per_tree);
  if (!known_ || !known_->block) return;
  const double bearing = static_cast<double>(planting_now(frame_, block_).bearing());
  fact(frame_.ui, tr("planting.to_prune"), whole(bearing));
  if (choice_row(frame_.ui, {.id = "planting", .label = tr("planting.title"),
                             .glyph = Glyph::tree})) {
    frame_.go(ScreenId::planting, block_.id);
  }
}

// While a variety is typed: those whose name, or a word of it, begins like it; a tap takes one.
void BlockForm::suggest_varieties() {
  constexpr std::size_t most = 4;
  const auto typed = frame_.session.fields.find(key_ + "variety");
  if (typed == frame_.session.fields.end() || block_.variety.empty()) return;
  const auto known = varieties();
  if (orchard::find_variety(known, block_.variety)) return;
  std::size_t shown = 0;
  for (const orchard::Variety& variety : known) {
    if (shown == most || !begins_a_word(variety.name, block_.variety)) continue;
    ++shown;
    if (choice_row(frame_.ui, {.id = "variety/" + variety.name, .label = variety.name,
                               .arrow = false})) {
      frame_.want(SetField{key_ + "variety", variety.name});
    }
  }
}

// What is usual for the variety, as this farm has it, and a tap to take it over.
void BlockForm::from_variety() {
  const auto known = varieties();
  const orchard::Variety* preset = orchard::find_variety(known, block_.variety);
  if (!preset) return;
  const char* when = "variety.time.either";
  if (preset->pruning_time == orchard::PruningTime::before_green_tip) {
    when = "variety.time.before_green_tip";
  } else if (preset->pruning_time == orchard::PruningTime::rebase_after_green_tip) {
    when = "variety.time.rebase_after_green_tip";
  }
  fact(frame_.ui, tr("edit.when"), tr(when));
  if (button(frame_.ui, {.id = "preset",
                         .label = tr("edit.from_variety", {{"variety", preset->name}}),
                         .kind = Kind::quiet})) {
    frame_.want(SetField{key_ + "insurance", field_number(preset->insurance_factor, 2)});
    frame_.want(SetField{key_ + "seeds", field_number(preset->seeds_per_fruit, 1)});
    frame_.want(
        SetField{key_ + "per_cm2",
                 field_number((preset->fruits_per_cm2_low + preset->fruits_per_cm2_high) / 2, 1)});
  }
}

std::string stride_text(const advice::PlanWarning& warning) {
  const char* key = "edit.stride_same";  // divides the row, or is a multiple of it
  switch (warning.problem) {
    case advice::PlanProblem::stride_divides_row:
    case advice::PlanProblem::stride_multiple_of_row: break;
    case advice::PlanProblem::stride_shares_factor: key = "edit.stride_places"; break;
    case advice::PlanProblem::stride_near_row: key = "edit.stride_near"; break;
    case advice::PlanProblem::too_few_trees: return tr("edit.stride_few");
  }
  return tr(key, {{"stride", whole(warning.stride)},
                  {"row", whole(warning.row_length)},
                  {"places", whole(warning.places_met)},
                  {"unseen", whole(warning.unseen)}});
}

// How many trees, which, for how long and at what cost, for the block's mean as closely as wanted.
void BlockForm::plan() {
  advice::PlanWish wish;
  const double within = ask("within", tr("edit.plan_within"), 100 * wish.relative_half_width,
                            {2, 50}, 0)
                            .value_or(100 * wish.relative_half_width);
  wish.relative_half_width = within / 100;
  if (known_ && !known_->tag_counts.empty()) {
    wish.cv = frame_.cache.standings(frame_.season, block_.id, frame_.now_ms())
                  .block_standing.tree_log_sd;
  }
  // As it is planted: what does not bear is neither counted nor pruned.
  const advice::Planting planting = planting_now(frame_, block_);
  const auto plan = advice::plan_sampling(planting, wish, advice::seed_of(block_.id));
  if (plan.trees == 0) return;
  fact(frame_.ui, tr("edit.plan", {{"n", whole(within)}}),
       tr("edit.plan_n", {{"n", whole(plan.trees)},
                          {"rows", whole(plan.rows_met)},
                          {"minutes", whole(plan.minutes)}}));
  if (plan.instead > 0) small_print(frame_.ui, tr_count("planting.instead", plan.instead));
  const double wage = frame_.season.farm().wage_per_hour;
  if (wage > 0) fact(frame_.ui, tr("edit.thin_cost"), whole(plan.minutes / 60 * wage));
  if (button(frame_.ui, {.id = "plan",
                         .label = tr("edit.plan_use", {{"stride", whole(plan.stride)},
                                                       {"start", whole(plan.start)}}),
                         .kind = Kind::quiet})) {
    frame_.want(SetField{key_ + "stride", std::to_string(plan.stride)});
    frame_.want(SetField{key_ + "start", std::to_string(plan.start)});
  }
}

void BlockForm::yield_goal() {
  orchard::YieldGoal goal = block_.target.yield.value_or(orchard::YieldGoal{});
  int unit_now = us_ ? 0 : 3;
  if (block_.target.yield) {
    for (int i = 0; i < static_cast<int>(std::size(units_offered)); ++i) {
      if (units_offered[i] == goal.unit) unit_now = i;
    }
  }
  goal.amount =
      ask("yield", tr("edit.yield"),
          goal.amount > 0 ? std::optional<double>(goal.amount) : std::nullopt, {0.001, 1e6}, 2)
          .value_or(0);
  const int unit = form_.list(
      key_ + "unit", tr("edit.yield_unit"),
      {tr("edit.yields.boxes_per_acre"), tr("edit.yields.bins_per_acre"),
       tr("edit.yields.lb_per_acre"), tr("edit.yields.t_per_ha"), tr("edit.yields.kg_per_ha"),
       tr("edit.yields.boxes_per_ha"), tr("edit.yields.bins_per_ha"),
       tr("edit.yields.kg_per_acre"), tr("edit.yields.t_per_acre")},
      unit_now);
  goal.unit = units_offered[unit];
  orchard::FruitSize& size = goal.fruit_size;
  const int kind_now = size.grams ? 1 : size.diameter_mm ? 2 : us_ || size.count_per_box ? 0 : 1;
  const int kind = form_.list(
      key_ + "size_kind", tr("edit.size_kind"),
      {tr("edit.size.count_per_box"), tr("edit.size.grams"), tr("edit.size.diameter_mm")},
      kind_now);
  const std::optional<double> stands = kind == 0   ? size.count_per_box
                                       : kind == 1 ? size.grams
                                                   : size.diameter_mm;
  const Range range = kind == 0   ? limits::count_per_box
                      : kind == 1 ? limits::fruit_grams
                                  : limits::fruit_diameter_mm;
  const auto typed = ask("size", tr("edit.size"), stands, range, 1);
  size = {};
  (kind == 0 ? size.count_per_box : kind == 1 ? size.grams : size.diameter_mm) = typed;
  using Unit = orchard::YieldUnit;
  const bool boxes = goal.unit == Unit::boxes_per_acre || goal.unit == Unit::boxes_per_ha;
  const bool bins = goal.unit == Unit::bins_per_acre || goal.unit == Unit::bins_per_ha;
  // "100 count" is 190.5 g in a box of 42 lb and 181.4 g in one of 40 lb: so it is asked.
  if (boxes || kind == 0) goal.box_kg = weight("box", "edit.box", goal.box_kg, limits::box_kg);
  if (bins) goal.bin_kg = weight("bin", "edit.bin", goal.bin_kg, limits::bin_kg);
  goal.pack_out_fraction =
      ask("pack_out", tr("edit.pack_out"), 100 * goal.pack_out_fraction, {5, 100}, 0)
          .value_or(100) /
      100;
  block_.target.yield = goal;
}

void BlockForm::trunk() {
  orchard::TrunkGoal goal = block_.target.trunk.value_or(orchard::TrunkGoal{});
  const bool across = form_.choice(key_ + "trunk_by", tr("edit.trunk_by"),
                                   {tr("edit.trunk_by.girth"), tr("edit.trunk_by.diameter")},
                                   goal.diameter_mm ? 1 : 0) == 1;
  const auto girth = goal.girth_mm, diameter = goal.diameter_mm;
  goal.girth_mm.reset();
  goal.diameter_mm.reset();
  if (across) {
    goal.diameter_mm =
        ask("diameter", tr("edit.diameter"), diameter, limits::trunk_diameter_mm, 0);
  } else {
    goal.girth_mm = ask("girth", tr("edit.girth"), girth, limits::trunk_girth_mm, 0);
  }
  goal.fruits_per_cm2 =
      ask("per_cm2", tr("edit.fruits_per_cm2"),
          goal.fruits_per_cm2 > 0 ? std::optional<double>(goal.fruits_per_cm2) : std::nullopt,
          limits::fruits_per_cm2, 1)
          .value_or(0);
  block_.target.trunk = goal;
}

void BlockForm::target() {
  orchard::TargetInput& input = block_.target;
  const int way = form_.list(key_ + "way", tr("edit.way"),
                             {tr("edit.way.fruits"), tr("edit.way.yield"), tr("edit.way.trunk")},
                             input.yield   ? 1
                             : input.trunk ? 2
                                           : 0);
  if (way == 0) {
    input.fruits_per_tree =
        ask("fruits", tr("edit.fruits"), input.fruits_per_tree, limits::fruits_per_tree, 0);
    input.yield.reset();
    input.trunk.reset();
  } else if (way == 1) {
    yield_goal();
    input.fruits_per_tree.reset();
    input.trunk.reset();
  } else {
    trunk();
    input.fruits_per_tree.reset();
    input.yield.reset();
  }
  input.insurance_factor = ask("insurance", tr("edit.insurance"), input.insurance_factor,
                               limits::insurance_factor, 2, false, tr("edit.insurance_hint"))
                               .value_or(1.5);
  const auto floral = ask(
      "floral", tr("edit.floral"),
      input.floral_fraction ? std::optional<double>(100 * *input.floral_fraction) : std::nullopt,
      {1, 100}, 0, true, tr("edit.floral_hint"));
  input.floral_fraction = floral ? std::optional<double>(*floral / 100) : std::nullopt;
  input.flowers_per_spur = ask("flowers", tr("edit.flowers"), input.flowers_per_spur,
                               limits::flowers_per_spur, 1)
                               .value_or(input.flowers_per_spur);
  input.seeds_per_fruit = ask("seeds", tr("variety.seeds"), input.seeds_per_fruit,
                              limits::seeds_per_fruit, 1)
                              .value_or(input.seeds_per_fruit);
}

// A block that is new begins with a stride that goes well with its rows: nobody should be greeted
// with a warning about a number that they did not type.
void BlockForm::fit_stride() {
  if (known_ || frame_.session.fields.count(key_ + "stride") > 0) return;
  if (block_.rows <= 0 || block_.trees_per_row <= 0) return;
  for (const advice::PlanWarning& warning : advice::check_stride(block_, block_.stride)) {
    block_.stride = warning.better_stride;
    return;
  }
}

void BlockForm::counting() {
  fit_stride();
  block_.tolerance_fraction =
      ask("tolerance", tr("edit.tolerance"), 100 * block_.tolerance_fraction, {2, 50}, 0)
          .value_or(15) /
      100;
  block_.stride = whole_number("stride", tr("edit.stride"), block_.stride, limits::stride);
  if (block_.rows > 0 && block_.trees_per_row > 0) {
    for (const advice::PlanWarning& warning : advice::check_stride(block_, block_.stride)) {
      if (notice(frame_.ui,
                 {.id = "stride_warning/" + std::to_string(static_cast<int>(warning.problem)) +
                        "/" + std::to_string(warning.row_length),
                  .tone = Tone::caution,
                  .text = stride_text(warning),
                  .action = tr("edit.stride_better", {{"n", whole(warning.better_stride)}})})) {
        frame_.want(SetField{key_ + "stride", std::to_string(warning.better_stride)});
      }
      if (warning.problem != advice::PlanProblem::too_few_trees) {
        small_print(frame_.ui, tr("edit.plan_trial"));
      }
    }
    plan();
  }
  block_.stride_start =
      whole_number("start", tr("edit.stride_start"), block_.stride_start, limits::stride);
  block_.stride_floor =
      whole_number("floor", tr("edit.stride_floor"), block_.stride_floor, limits::stride);
  block_.green_tip_date = form_.date(
      {.id = key_ + "green_tip", .label = tr("edit.green_tip"), .value = block_.green_tip_date});
  block_.second_pass_until = form_.date({.id = key_ + "second_pass_until",
                                         .label = tr("edit.second_pass_until"),
                                         .value = block_.second_pass_until});
  station();
}

// Asked where there is a choice, and where one that was made must be seen.
void BlockForm::station() {
  std::set<std::string> names;
  for (const auto& [name, weather] : frame_.season.stations()) names.insert(name);
  if (!block_.station.empty()) names.insert(block_.station);
  if (names.size() < 2 && block_.station.empty()) return;
  std::vector<std::string> items = {tr("edit.station_last")};
  items.insert(items.end(), names.begin(), names.end());
  const auto stands = std::find(items.begin() + 1, items.end(), block_.station);
  const int at = stands == items.end() ? 0 : static_cast<int>(stands - items.begin());
  // A station that comes meanwhile would move the others along the list.
  const int chosen = form_.list(key_ + "station/" + std::to_string(items.size()),
                                tr("edit.station"), items, at);
  block_.station = chosen == 0 ? "" : items[static_cast<std::size_t>(chosen)];
}

}  // namespace

void draw_edit_block(Frame& frame) {
  const std::string id = frame.session.here().block;
  const bool pinned = !frame.ui.two_columns() || frame.ui.input().height < 600;
  open(frame, {.key = "edit_block/" + id,
               .title = id.empty() ? tr("edit.block.new") : tr("edit.block.title"),
               .actions = {{.id = "keep", .label = keep_label(frame, tr("edit.keep"))}},
               .full = true,
               .pinned = pinned ? tr("edit.leave") : ""});
  BlockForm form(frame, id);
  std::optional<orchard::Target> target;
  const auto first = [&] {
    form.place();
    if (frame.ui.desk()) form.counting();
  };
  const auto second = [&] {
    form.target();
    target = target_now(frame, form.block());
  };
  const auto third = [&] {
    frame.ui.open_sticky();
    consequences(frame, form.block(), target);
    frame.ui.close_sticky();
  };
  if (frame.ui.desk()) {
    frame.ui.row({1, 1, 1}, first, second, third);
  } else {
    const auto asks = [&] { first(), second(), form.counting(); };
    const auto asks_then_shows = [&] { first(), second(), third(), form.counting(); };
    frame.ui.two_columns() ? frame.ui.row({1, 1}, asks, third) : asks_then_shows();
  }
  if (frame.bar.action == "keep") {
    Block block = form.block();
    if (id.empty()) block.id = new_id('b', frame.now_ms());
    form.keep(block);
  }
  finish(frame);
  if (pinned) {
    pin(frame.ui, tr("edit.leave"),
        target ? whole(target->spurs_to_leave_per_tree.value) : "", tr("edit.not_yet"));
  }
}

}  // namespace nthtree::screens
