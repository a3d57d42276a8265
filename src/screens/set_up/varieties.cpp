// SPDX-License-Identifier: Apache-2.0
// What is usual for each variety: where a block's numbers begin, where each is known from, and what
// this farm sets itself.
#include <algorithm>

#include "orchard/limits.h"
#include "orchard/plain_variety.h"
#include "screens/each_screen.h"
#include "screens/parts/form.h"
#include "screens/parts/frame.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

using orchard::Variety;
namespace limits = orchard::limits;

bool by_farm(const std::string& source) { return source.starts_with(orchard::set_by_farm); }

bool any_by_farm(const Variety& v) {
  return by_farm(v.insurance_factor_source) || by_farm(v.fruits_per_cm2_source) ||
         by_farm(v.biennial_tendency_source) || by_farm(v.pruning_time_source) ||
         by_farm(v.seeds_per_fruit_source);
}

// The two sources that are words of ours are said in the farm's language; titles stay as printed.
std::string source_text(const std::string& source) {
  if (source == orchard::no_source) return tr("variety.no_source");
  if (!by_farm(source)) return source;
  const std::string from = source.substr(orchard::set_by_farm.size());
  return tr("variety.set_here") + from;
}

std::string summary_of(const Variety& v) {
  return tr("variety.summary", {{"insurance", short_number(v.insurance_factor)},
                                {"low", short_number(v.fruits_per_cm2_low)},
                                {"high", short_number(v.fruits_per_cm2_high)}});
}

// Presets with the farm's own, and the varieties of its blocks that nobody has described.
std::vector<Variety> all_varieties(const Frame& frame) {
  std::vector<Variety> all =
      orchard::with_changes(frame.session.varieties, frame.season.variety_changes());
  for (const auto& [id, block] : frame.season.blocks()) {
    if (!block.block || block.block->variety.empty()) continue;
    if (!orchard::find_variety(all, block.block->variety)) {
      all.push_back(orchard::plain_variety(block.block->variety));
    }
  }
  return all;
}

// The form of one variety; what stands as it came is not set by the farm.
class VarietyForm {
 public:
  VarietyForm(Frame& frame, const Variety& shipped, const Variety& now, std::string source)
      : frame_(frame), form_(frame), shipped_(shipped), now_(now), source_(std::move(source)),
        key_("variety/" + orchard::variety_key(now.name) + "/") {}

  void draw();
  bool ok() const { return form_.ok(); }
  void show_wrong() { form_.show_wrong(); }
  orchard::VarietyChange change() const;
  void reset();  // every field as it came

 private:
  double ask(const char* id, const char* label, double value, orchard::Range range, int decimals,
             const std::string& source) {
    const auto typed = form_.number({.id = key_ + id, .label = tr(label), .value = value,
                                     .range = range, .decimals = decimals});
    if (!source.empty()) small_print(frame_.ui, source_text(source));
    return typed.value_or(value);
  }

  Frame& frame_;
  Form form_;
  const Variety& shipped_;
  const Variety& now_;
  std::string source_;
  std::string key_;
  Variety typed_;
};

void VarietyForm::draw() {
  typed_ = now_;
  typed_.insurance_factor = ask("insurance", "edit.insurance", now_.insurance_factor,
                                limits::insurance_factor, 2, now_.insurance_factor_source);
  typed_.fruits_per_cm2_low = ask("low", "variety.low", now_.fruits_per_cm2_low,
                                  limits::fruits_per_cm2, 1, "");
  typed_.fruits_per_cm2_high =
      ask("high", "variety.high", now_.fruits_per_cm2_high,
          {std::max(limits::fruits_per_cm2.low, typed_.fruits_per_cm2_low),
           limits::fruits_per_cm2.high}, 1, now_.fruits_per_cm2_source);
  typed_.seeds_per_fruit = ask("seeds", "variety.seeds", now_.seeds_per_fruit,
                               limits::seeds_per_fruit, 1, now_.seeds_per_fruit_source);
  typed_.biennial_tendency = static_cast<orchard::BiennialTendency>(
      form_.list(key_ + "biennial", tr("variety.biennial"),
                 {tr("variety.biennial.low"), tr("variety.biennial.medium"),
                  tr("variety.biennial.high")}, static_cast<int>(now_.biennial_tendency)));
  small_print(frame_.ui, source_text(now_.biennial_tendency_source));
  typed_.pruning_time = static_cast<orchard::PruningTime>(
      form_.list(key_ + "time", tr("variety.time"),
                 {tr("variety.time.before_green_tip"), tr("variety.time.rebase_after_green_tip"),
                  tr("variety.time.either")}, static_cast<int>(now_.pruning_time)));
  small_print(frame_.ui, source_text(now_.pruning_time_source));
  source_ = form_.text({.id = key_ + "source", .label = tr("variety.source"), .value = source_,
                        .letters_max = 80, .optional = true});
}

orchard::VarietyChange VarietyForm::change() const {
  orchard::VarietyChange change;
  change.name = now_.name;
  change.source = source_;
  const auto set = [](auto& out, auto typed, auto shipped) {
    if (typed != shipped) out = typed;
  };
  set(change.insurance_factor, typed_.insurance_factor, shipped_.insurance_factor);
  set(change.fruits_per_cm2_low, typed_.fruits_per_cm2_low, shipped_.fruits_per_cm2_low);
  set(change.fruits_per_cm2_high, typed_.fruits_per_cm2_high, shipped_.fruits_per_cm2_high);
  set(change.seeds_per_fruit, typed_.seeds_per_fruit, shipped_.seeds_per_fruit);
  set(change.biennial_tendency, typed_.biennial_tendency, shipped_.biennial_tendency);
  set(change.pruning_time, typed_.pruning_time, shipped_.pruning_time);
  return change;
}

void VarietyForm::reset() {
  const auto put = [&](const char* id, std::string text) {
    frame_.want(SetField{key_ + id, std::move(text)});
  };
  put("insurance", field_number(shipped_.insurance_factor, 2));
  put("low", field_number(shipped_.fruits_per_cm2_low, 1));
  put("high", field_number(shipped_.fruits_per_cm2_high, 1));
  put("seeds", field_number(shipped_.seeds_per_fruit, 1));
  put("biennial", std::to_string(static_cast<int>(shipped_.biennial_tendency)));
  put("time", std::to_string(static_cast<int>(shipped_.pruning_time)));
  put("source", "");
}

Variety or_plain(const std::vector<Variety>& all, const std::string& name) {
  const Variety* found = orchard::find_variety(all, name);
  return found ? *found : orchard::plain_variety(name);
}

}  // namespace

void draw_varieties(Frame& frame) {
  open(frame, {.key = "varieties", .title = tr("variety.title")});
  paragraph(frame.ui, tr("variety.text"));
  for (const Variety& variety : all_varieties(frame)) {
    if (choice_row(frame.ui, {.id = "variety/" + orchard::variety_key(variety.name),
                              .label = variety.name, .detail = summary_of(variety),
                              .trailing = any_by_farm(variety) ? tr("variety.own") : "",
                              .glyph = Glyph::bud})) {
      frame.want(Go{Stop{ScreenId::edit_variety, {}, {}, {}, variety.name}});
    }
  }
  finish(frame);
}

void draw_edit_variety(Frame& frame) {
  const std::string name = frame.session.here().record;
  open(frame, {.key = "edit_variety/" + orchard::variety_key(name),
               .title = name,
               .actions = {{.id = "keep", .label = keep_label(frame, tr("variety.keep"))}}});
  const Variety shipped = or_plain(frame.session.varieties, name);
  const auto& own = frame.season.varieties();
  const auto found = own.find(orchard::variety_key(name));
  const orchard::VarietyChange set =
      found == own.end() ? orchard::VarietyChange{} : found->second;
  const Variety now = orchard::with_change(shipped, set);
  VarietyForm form(frame, shipped, now, set.source);
  form.draw();
  if (any_by_farm(now) && button(frame.ui, {.id = "reset", .label = tr("variety.reset"),
                                            .kind = Kind::quiet})) {
    form.reset();
  }
  if (frame.bar.action == "keep") {
    if (form.ok()) {
      SaveRecords save;
      save.bodies = {ledger::VarietySettings{form.change()}};
      save.from = SaveRecords::From::fields;
      frame.want(save);
    } else {
      form.show_wrong();
    }
  }
  finish(frame);
}

}  // namespace nthtree::screens
