// SPDX-License-Identifier: Apache-2.0
#include "screens/session.h"

#include <algorithm>
#include <numeric>

#include "base/text.h"
#include "ledger/body_fields.h"
#include "ledger/json_text.h"

namespace nthtree::screens {
namespace {

using ledger::Choices;
namespace limits = orchard::limits;

const Choices purposes = {"tag", "check", "before", "clusters", "harvest", "return_bloom",
                          "exercise", "part", "part_check", "part_clusters"};
const Choices ways = {"tap", "limbs", "keypad"};
const Choices positions = {"upper", "lower"};
const Choices themes = {"sun", "dark"};
const Choices units = {"farm", "metric", "us"};

constexpr std::size_t limbs_max = static_cast<std::size_t>(limits::limbs_per_tree.high);
constexpr std::size_t steps_max = 20000;
// Drafts are our own writing, but the store is the browser's: read like anything from outside.
constexpr ledger::JsonLimits text_limits{.bytes_max = 1 << 18, .depth_max = 4};

// A moment fits a double without loss until the year 287396.
template <typename Visitor>
void moment(Visitor& v, const char* name, std::int64_t& at_ms) {
  double value = static_cast<double>(at_ms);
  v.number_or(name, value, {0, 9e15});
  at_ms = static_cast<std::int64_t>(value);
}

template <typename Visitor>
void address(Visitor& v, orchard::TreeAddress& tree) {
  v.integer("row", tree.row, {0, limits::rows.high});
  v.integer("tree", tree.tree, {0, limits::trees_per_row.high});
}

template <typename Visitor>
void fields(Visitor& v, CountDraft& draft) {
  v.choice("purpose", draft.purpose, purposes);
  v.text_or("person", draft.person, ledger::id_bytes_max);
  v.text("block", draft.block, ledger::id_bytes_max);
  address(v, draft.tree);
  v.choice("way", draft.way, ways);
  v.integers_or("limbs", draft.limbs, limbs_max, limits::spurs_per_tree);
  v.text_or("digits", draft.digits, keypad_digits_max);
  v.integers_or("steps", draft.steps, steps_max, {-1, step_typed});
  v.integers_or("replaced", draft.replaced, steps_max, limits::spurs_per_tree);
  v.text_or("second_digits", draft.second_digits, keypad_digits_max);
  v.flag_or("on_second", draft.on_second);
  v.flag_or("practice", draft.practice);
  v.flag_or("moved", draft.moved);
  v.integer_or("limbs_in_tree", draft.draw.limbs, {0, limits::limbs_numbered.high});
  v.integer_or("start", draft.draw.start, {0, limits::limbs_numbered.high});
  v.integer_or("step", draft.draw.step, {0, limits::limbs_numbered.high});
  v.integer_or("size", draft.size, {-1, 2});
  v.text_or("exercise", draft.exercise, ledger::id_bytes_max);
  v.integer_or("round", draft.round, {0, limits::exercise_round.high});
  moment(v, "started_ms", draft.started_ms);
  moment(v, "active_ms", draft.active_ms);
  std::string mends = draft.mends ? draft.mends->text() : "";
  v.text_or("mends", mends, 80);
  draft.mends = ledger::parse_record_id(mends);
  v.integer_or("spurs_before_mend", draft.spurs_before_mend, limits::spurs_per_tree);
  v.integers_or("limbs_before_mend", draft.limbs_before_mend, limbs_max, limits::spurs_per_tree);
  v.integer_or("seconds_before_mend", draft.seconds_before_mend, limits::counting_seconds);
  v.integer_or("mend_seconds", draft.mend_seconds, limits::counting_seconds);
  if (draft.limbs.empty()) draft.limbs = {0};
}

template <typename Visitor>
void fields(Visitor& v, BudDraft& draft) {
  v.text("block", draft.block, ledger::id_bytes_max);
  address(v, draft.tree);
  v.choice("position", draft.position, positions);
  std::vector<int> steps;
  for (BudKind kind : draft.steps) steps.push_back(static_cast<int>(kind));
  v.integers_or("steps", steps, steps_max, {0, 4});
  draft.steps.clear();
  std::fill(std::begin(draft.counts), std::end(draft.counts), 0);
  for (int step : steps) {  // the counts follow from the taps and are not stored twice
    draft.steps.push_back(static_cast<BudKind>(step));
    ++draft.counts[step];
  }
  moment(v, "started_ms", draft.started_ms);
}

template <typename Visitor>
void fields(Visitor& v, Preferences& preferences) {
  v.text("language", preferences.language, 16);
  v.choice("theme", preferences.theme, themes);
  v.integer("text_percent", preferences.text_percent, {100, 160});
  v.flag_or("left_hand", preferences.left_hand);
  v.choice("units", preferences.units, units);
  v.flag_or("practice", preferences.practice);
  v.flag_or("buzz", preferences.buzz);
}

struct Memory {
  Preferences preferences;
  std::string person;
  std::string block;
  std::string languages;  // "p3\tes\n", a line a person
  std::string stations;   // a file's head, then which column is which: a line each
};

constexpr std::size_t languages_bytes_max = 1 << 14;

std::string write_languages(const std::map<std::string, std::string>& languages) {
  std::string text;
  for (const auto& [person, language] : languages) text += person + "\t" + language + "\n";
  return text.size() <= languages_bytes_max ? text : "";
}

std::map<std::string, std::string> languages_in(std::string_view text) {
  std::map<std::string, std::string> languages;
  while (!text.empty()) {
    const std::string_view line = base::take_line(text);
    const std::size_t tab = line.find('\t');
    if (tab == std::string_view::npos) continue;
    languages[std::string(line.substr(0, tab))] = line.substr(tab + 1);
  }
  return languages;
}

using StationHeads = std::map<std::string, orchard::StationColumns>;

// Heads of a dozen stations; beyond that which column is which is asked again.
constexpr std::size_t stations_bytes_max = 1 << 14;

std::string write_stations(const StationHeads& heads) {
  std::string text;
  for (const auto& [head, c] : heads) {
    text += base::print("%d %d %d %d ", c.day, c.low, c.high, c.place) + head + "\n";
  }
  return text.size() <= stations_bytes_max ? text : "";
}

StationHeads stations_in(std::string_view text) {
  StationHeads heads;
  while (!text.empty()) {
    std::string_view line = base::take_line(text);
    orchard::StationColumns c;
    const auto takes = [&](int& column) {
      return base::take_number(line, column) && base::take_text(line, " ");
    };
    if (takes(c.day) && takes(c.low) && takes(c.high) && takes(c.place)) {
      heads[std::string(line)] = c;
    }
  }
  return heads;
}

template <typename Visitor>
void fields(Visitor& v, Memory& memory) {
  v.group("preferences", memory.preferences, [](auto& w, auto& p) { fields(w, p); });
  v.text_or("person", memory.person, ledger::id_bytes_max);
  v.text_or("block", memory.block, ledger::id_bytes_max);
  v.text_or("languages", memory.languages, languages_bytes_max);
  v.text_or("stations", memory.stations, stations_bytes_max);
}

template <typename Visitor>
void fields(Visitor& v, Drafts& drafts) {
  v.group_or("count", drafts.count, [](auto& w, auto& draft) { fields(w, draft); });
  v.group_or("buds", drafts.buds, [](auto& w, auto& draft) { fields(w, draft); });
}

template <typename T>
std::optional<T> read(std::string_view text) {
  const auto json = ledger::parse_json(text, text_limits);
  if (!json) return std::nullopt;
  ledger::FieldReader reader(*json, "");
  T value;
  fields(reader, value);
  if (reader.failed()) return std::nullopt;
  return value;
}

// What the keypad can have typed: a number is made of it digit by digit.
bool are_digits(const std::string& typed) {
  return typed.find_first_not_of("0123456789") == std::string::npos;
}

}  // namespace

int CountDraft::seconds() const {
  return static_cast<int>(
      std::min(static_cast<double>(active_ms / 1000), limits::counting_seconds.high));
}

int CountDraft::spurs() const {
  if (way == CountWay::keypad && !digits.empty()) {
    int value = 0;
    for (char digit : digits) value = value * 10 + (digit - '0');
    return value;
  }
  return std::accumulate(limbs.begin(), limbs.end(), 0);
}

int CountDraft::second() const {
  int value = 0;
  for (char digit : second_digits) value = value * 10 + (digit - '0');
  return value;
}

bool CountDraft::all_drawn_counted() const {
  return draw.limbs > 0 && static_cast<int>(limbs.size()) == draw.drawn();
}

bool CountDraft::empty() const {
  // Limbs drawn: the tree is begun. Those of a re-count are drawn before it.
  if (draw.limbs > 0 && purpose != CountPurpose::part_check) return false;
  return steps.empty() && digits.empty() && second_digits.empty() && spurs() == 0;
}

std::string write_drafts(const Drafts& drafts) {
  Drafts kept = drafts;
  if (kept.count && kept.count->empty()) kept.count.reset();
  if (kept.buds && kept.buds->empty()) kept.buds.reset();
  if (!kept.count && !kept.buds) return "";
  ledger::FieldWriter writer;
  fields(writer, kept);
  return writer.object();
}

std::optional<Drafts> read_drafts(std::string_view text) {
  if (text.empty()) return Drafts{};
  auto drafts = read<Drafts>(text);
  if (drafts && drafts->count &&
      !(are_digits(drafts->count->digits) && are_digits(drafts->count->second_digits))) {
    return std::nullopt;
  }
  return drafts;
}

std::string write_memory(const Session& session) {
  Memory memory{session.preferences, session.person, session.block,
                write_languages(session.languages), write_stations(session.station.columns)};
  ledger::FieldWriter writer;
  fields(writer, memory);
  return writer.object();
}

bool read_memory(Session& session, std::string_view text) {
  const auto memory = read<Memory>(text);
  if (!memory) return false;
  session.preferences = memory->preferences;
  session.person = memory->person;
  session.block = memory->block;
  session.languages = languages_in(memory->languages);
  session.station.columns = stations_in(memory->stations);
  return true;
}

}  // namespace nthtree::screens
