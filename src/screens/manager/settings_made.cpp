// SPDX-License-Identifier: Apache-2.0
// Who set what of the farm, its blocks, people and varieties, and when; each can be taken back, and
// what stood before counts again.
#include <algorithm>
#include <array>

#include "ledger/json_text.h"
#include "screens/each_screen.h"
#include "screens/parts/frame.h"
#include "screens/parts/parts.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

using ledger::SettingsEntry;

// What a field of a record is called on the form that sets it; several fields may share a name.
struct FieldName {
  const char* field;
  const char* key;
};
constexpr std::array<FieldName, 21> field_names = {{
    {"name", "edit.name"},           {"variety", "edit.variety"},
    {"rows", "edit.rows"},           {"trees_per_row", "edit.trees_per_row"},
    {"limbs_per_tree", "edit.limbs"},
    {"target", "settings_made.target"},
    {"stride", "edit.stride"},       {"stride_start", "edit.stride_start"},
    {"stride_floor", "edit.stride_floor"},
    {"tolerance_fraction", "edit.tolerance"},
    {"green_tip_date", "edit.green_tip"},
    {"second_pass_until", "edit.second_pass_until"}, {"station", "edit.station"},
    {"role", "edit.person.role"},    {"active", "edit.person.active"},
    {"gang", "edit.person.gang"},    {"hours_per_day", "rates.hours"},
    {"wage_per_hour", "rates.wage"}, {"sureness", "rates.sureness"},
    {"us_units", "rates.units"},     {"currency", "rates.currency"},
}};

std::string subject_of(const Frame& frame, const ledger::Body& body) {
  if (const auto* block = std::get_if<ledger::BlockSettings>(&body)) {
    return block_text(frame.season, block->block.id);
  }
  if (const auto* person = std::get_if<ledger::PersonSettings>(&body)) {
    return person_text(frame.season, person->person.id);
  }
  if (const auto* variety = std::get_if<ledger::VarietySettings>(&body)) {
    return variety->variety.name;
  }
  if (const auto* closed = std::get_if<ledger::SeasonClosed>(&body)) {
    return tr("years.closed_year", {{"year", std::to_string(closed->year)}});
  }
  return tr("farm.rates");
}

// What a station read is no setting, and would bury them.
std::vector<SettingsEntry> settings_of(const ledger::Season& season) {
  std::vector<SettingsEntry> all = season.settings_history();
  std::erase_if(all, [](const SettingsEntry& entry) {
    return std::holds_alternative<ledger::Temperatures>(*entry.now);
  });
  return all;
}

nlohmann::json fields_of(const ledger::Body& body) {
  ledger::Record record;
  record.id = {{1, 1}, 1};
  record.stamp.at_ms = record.clock_ms = 1;
  record.body = body;
  const auto written = ledger::write_record(std::move(record));
  const auto json = written ? ledger::parse_json(written->bytes, {ledger::record_bytes_max, 8})
                            : base::Result<nlohmann::json>(base::Error{});
  return json ? json->value("body", nlohmann::json::object()) : nlohmann::json::object();
}

// "Changed: Rows, Insurance factor"; what has no name of its own on a form is counted.
std::string changes_of(const SettingsEntry& entry) {
  if (!entry.before) return tr("settings_made.first");
  const nlohmann::json now = fields_of(*entry.now), before = fields_of(*entry.before);
  std::string list;
  int others = 0;
  const auto note = [&](const std::string& field) {
    const auto named = std::find_if(field_names.begin(), field_names.end(),
                                    [&](const FieldName& name) { return field == name.field; });
    if (named == field_names.end()) return void(++others);
    list += (list.empty() ? "" : ", ") + tr(named->key);
  };
  for (const auto& [field, value] : now.items()) {
    if (!before.contains(field) || before[field] != value) note(field);
  }
  for (const auto& [field, value] : before.items()) {
    if (!now.contains(field)) note(field);
  }
  if (list.empty() && others == 0) return tr("settings_made.same");
  if (list.empty()) return tr("settings_made.others", {{"n", whole(others)}});
  const std::string changed = tr("settings_made.changed", {{"list", list}});
  return others == 0 ? changed
                     : changed + " " + tr("settings_made.more", {{"n", whole(others)}});
}

std::string said_by(const Frame& frame, const SettingsEntry& entry) {
  return person_text(frame.season, entry.author) + ", " +
         time_text(frame.season, entry.position.stamp.at_ms);
}

void take_back(Frame& frame, const SettingsEntry& entry) {
  const bool reopens = std::holds_alternative<ledger::SeasonClosed>(*entry.now);
  if (!entry.before && !reopens) return small_print(frame.ui, tr("settings_made.only"));
  if (button(frame.ui, {.id = "take_back", .label = tr("settings_made.take_back"),
                        .kind = Kind::danger})) {
    frame.want(Ask{"take_back"});
  }
}

void draw_one_setting(Frame& frame) {
  const std::vector<SettingsEntry> all = settings_of(frame.season);
  const auto entry = std::find_if(all.begin(), all.end(), [&](const SettingsEntry& one) {
    return one.position.id.text() == frame.session.here().record;
  });
  if (entry == all.end()) {
    open(frame, {.key = "one_setting", .title = tr("farm.settings_made")});
    save_state(frame);
    paragraph(frame.ui, tr("settings_made.gone"));
    return finish(frame);
  }
  open(frame, {.key = "one_setting/" + entry->position.id.text(),
               .title = subject_of(frame, *entry->now)});
  fact(frame.ui, tr("settings_made.who"), said_by(frame, *entry));
  paragraph(frame.ui, changes_of(*entry));
  if (!entry->in_force) small_print(frame.ui, tr("settings_made.replaced"));
  take_back(frame, *entry);
  finish(frame);
  if (asked(frame, "take_back", tr("settings_made.ask"), tr("settings_made.sure"),
            tr("settings_made.take_back"), tr("phone.no"))) {
    SaveRecords save;
    save.bodies = {ledger::Withdrawal{}};
    save.replaces = entry->position.id;
    frame.want(save);
  }
}

}  // namespace

void draw_settings_made(Frame& frame) {
  if (!frame.session.here().record.empty()) return draw_one_setting(frame);
  open(frame, {.key = "settings_made", .title = tr("farm.settings_made")});
  const std::vector<SettingsEntry> all = settings_of(frame.season);
  small_print(frame.ui, tr("settings_made.text"));
  const int count = static_cast<int>(all.size());
  long_list(frame.ui, {.id = "settings", .label = tr("farm.settings_made"), .rows = count,
                       .row_height = 88},
            [&](int i) {
              const SettingsEntry& entry = all[static_cast<std::size_t>(i)];
              const std::string id = entry.position.id.text();
              if (choice_row(frame.ui, {.id = "setting/" + id,
                                        .label = subject_of(frame, *entry.now),
                                        .detail = said_by(frame, entry),
                                        .trailing = entry.in_force ? tr("settings_made.now") : "",
                                        .position = i + 1, .set_size = count})) {
                frame.want(Go{Stop{ScreenId::settings_made, {}, {}, {}, id}});
              }
            });
  finish(frame);
}

}  // namespace nthtree::screens
