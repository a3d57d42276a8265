// SPDX-License-Identifier: Apache-2.0
#include "orchard/varieties.h"

#include <algorithm>
#include <nlohmann/json.hpp>
#include <optional>

#include "base/json_text.h"
#include "base/text.h"
#include "orchard/limits.h"
#include "orchard/plain_variety.h"

namespace nthtree::orchard {
namespace {

using base::Error;
using base::Result;
using nlohmann::json;

constexpr int depth_max = 5;
constexpr std::size_t source_bytes_max = 500;
constexpr std::size_t name_bytes_max = 64;

// Reads one entry; the first thing wrong is remembered and nothing after it is read.
class EntryReader {
 public:
  EntryReader(const json& entry, std::string path) : entry_(entry), path_(std::move(path)) {}

  void text(const json& in, const char* key, const std::string& field, std::size_t bytes_max,
            std::string& out) {
    if (error_) return;
    const auto found = in.find(key);
    if (found == in.end() || !found->is_string()) {
      return fail("missing_field", field, "a text is needed");
    }
    const auto& value = found->get_ref<const std::string&>();
    if (value.empty() || value.size() > bytes_max) {
      return fail("out_of_range", field,
                  base::print("%zu bytes long: 1 to %zu are allowed", value.size(), bytes_max));
    }
    out = value;
  }
  void number(const json& in, const char* key, const std::string& field, Range range,
              double& out) {
    if (error_) return;
    const auto found = in.find(key);
    if (found == in.end() || !found->is_number()) {
      return fail("missing_field", field, "a number is needed");
    }
    out = found->get<double>();
    error_ = refuse_outside(out, range, path_ + field);
  }
  // The place in `words` of a text; 0 after an error.
  std::size_t word(const json& in, const std::string& field,
                   const std::vector<std::string_view>& words) {
    std::string value;
    text(in, "value", field, name_bytes_max, value);
    if (error_) return 0;
    const auto found = std::find(words.begin(), words.end(), value);
    if (found != words.end()) return static_cast<std::size_t>(found - words.begin());
    std::string allowed;
    for (const auto& w : words) allowed += (allowed.empty() ? "" : ", ") + std::string(w);
    fail("unknown_choice", field, "\"" + value + "\" is not known: allowed are " + allowed);
    return 0;
  }
  // The object under `key`, or an empty one and an error.
  const json& group(const char* key) {
    static const json nothing = json::object();
    if (error_) return nothing;
    const auto found = entry_.find(key);
    if (found != entry_.end() && found->is_object()) return *found;
    fail("missing_field", key, "an object with its value and source is needed");
    return nothing;
  }
  void source(const json& in, const std::string& field, std::string& out) {
    text(in, "source", field + ".source", source_bytes_max, out);
  }
  void fail(const char* id, const std::string& field, std::string what) {
    if (!error_) error_ = Error{id, std::move(what), path_ + field};
  }
  const std::optional<Error>& error() const { return error_; }

 private:
  const json& entry_;
  std::string path_;
  std::optional<Error> error_;
};

Result<Variety> read_entry(const json& entry, const std::string& path) {
  if (!entry.is_object()) return Error{"wrong_type", "an object is needed", path};
  EntryReader reader(entry, path + ".");
  Variety variety;
  reader.text(entry, "name", "name", name_bytes_max, variety.name);

  const json& insurance = reader.group("insurance_factor");
  reader.number(insurance, "value", "insurance_factor", limits::insurance_factor,
                variety.insurance_factor);
  reader.source(insurance, "insurance_factor", variety.insurance_factor_source);

  const json& load = reader.group("fruits_per_cm2");
  reader.number(load, "low", "fruits_per_cm2.low", limits::fruits_per_cm2,
                variety.fruits_per_cm2_low);
  reader.number(load, "high", "fruits_per_cm2.high",
                {variety.fruits_per_cm2_low, limits::fruits_per_cm2.high},
                variety.fruits_per_cm2_high);
  reader.source(load, "fruits_per_cm2", variety.fruits_per_cm2_source);

  const json& biennial = reader.group("biennial_tendency");
  variety.biennial_tendency = static_cast<BiennialTendency>(
      reader.word(biennial, "biennial_tendency", {"low", "medium", "high"}));
  reader.source(biennial, "biennial_tendency", variety.biennial_tendency_source);

  const json& time = reader.group("pruning_time");
  variety.pruning_time = static_cast<PruningTime>(reader.word(
      time, "pruning_time", {"before_green_tip", "rebase_after_green_tip", "either"}));
  reader.source(time, "pruning_time", variety.pruning_time_source);

  const json& seeds = reader.group("seeds_per_fruit");
  reader.number(seeds, "value", "seeds_per_fruit", limits::seeds_per_fruit,
                variety.seeds_per_fruit);
  reader.source(seeds, "seeds_per_fruit", variety.seeds_per_fruit_source);

  if (reader.error()) return *reader.error();
  return variety;
}

char lower(char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; }

bool same_name(std::string_view a, std::string_view b) {
  return a.size() == b.size() &&
         std::equal(a.begin(), a.end(), b.begin(),
                    [](char x, char y) { return lower(x) == lower(y); });
}

}  // namespace

Variety plain_variety(const std::string& name) {
  Variety variety;
  variety.name = name;
  variety.fruits_per_cm2_low = 4;
  variety.fruits_per_cm2_high = 6;
  variety.insurance_factor_source = variety.fruits_per_cm2_source =
      variety.biennial_tendency_source = variety.pruning_time_source =
          variety.seeds_per_fruit_source = no_source;
  return variety;
}

bool VarietyChange::empty() const {
  return !insurance_factor && !fruits_per_cm2_low && !fruits_per_cm2_high && !seeds_per_fruit &&
         !biennial_tendency && !pruning_time;
}

Variety with_change(Variety preset, const VarietyChange& change) {
  const std::string source =
      std::string(set_by_farm) + (change.source.empty() ? "" : ": " + change.source);
  const auto take = [&](auto& value, std::string& its_source, const auto& set) {
    if (!set) return;
    value = *set;
    its_source = source;
  };
  take(preset.insurance_factor, preset.insurance_factor_source, change.insurance_factor);
  take(preset.seeds_per_fruit, preset.seeds_per_fruit_source, change.seeds_per_fruit);
  take(preset.biennial_tendency, preset.biennial_tendency_source, change.biennial_tendency);
  take(preset.pruning_time, preset.pruning_time_source, change.pruning_time);
  take(preset.fruits_per_cm2_low, preset.fruits_per_cm2_source, change.fruits_per_cm2_low);
  take(preset.fruits_per_cm2_high, preset.fruits_per_cm2_source, change.fruits_per_cm2_high);
  if (preset.fruits_per_cm2_low > preset.fruits_per_cm2_high) {
    (change.fruits_per_cm2_high ? preset.fruits_per_cm2_low : preset.fruits_per_cm2_high) =
        change.fruits_per_cm2_high ? preset.fruits_per_cm2_high : preset.fruits_per_cm2_low;
  }
  return preset;
}

std::vector<Variety> with_changes(std::vector<Variety> presets,
                                  const std::vector<VarietyChange>& changes) {
  for (const VarietyChange& change : changes) {
    const auto found = std::find_if(presets.begin(), presets.end(), [&](const Variety& variety) {
      return same_name(variety.name, change.name);
    });
    if (found != presets.end()) {
      *found = with_change(std::move(*found), change);
    } else if (!change.empty()) {
      presets.push_back(with_change(plain_variety(change.name), change));
    }
  }
  return presets;
}

std::string variety_key(std::string_view name) {
  std::string key(name);
  std::transform(key.begin(), key.end(), key.begin(), lower);
  return key;
}

base::Result<std::vector<Variety>> read_varieties(std::string_view json_text) {
  if (json_text.size() > varieties_bytes_max) {
    return Error{"too_long", base::print("%zu bytes, of which %zu are allowed", json_text.size(),
                                         varieties_bytes_max), ""};
  }
  const auto parsed = base::parse_json(json_text, {varieties_bytes_max, depth_max});
  if (!parsed && parsed.error().id == std::string_view("too_deep")) {
    return Error{"too_deep", parsed.error().what, ""};
  }
  if (!parsed || !parsed->is_object()) return Error{"not_json", "not a JSON object", ""};
  const json& document = *parsed;
  const auto list = document.find("varieties");
  if (list == document.end() || !list->is_array() || list->size() > varieties_max) {
    return Error{"missing_field", base::print("a list of up to %zu is needed", varieties_max),
                 "varieties"};
  }
  std::vector<Variety> varieties;
  for (std::size_t i = 0; i < list->size(); ++i) {
    const std::string path = base::print("varieties[%zu]", i);
    Result<Variety> variety = read_entry((*list)[i], path);
    if (!variety) return variety.error();
    if (find_variety(varieties, variety->name)) {
      return Error{"doubled", "\"" + variety->name + "\" stands twice: once is allowed",
                   path + ".name"};
    }
    varieties.push_back(std::move(variety).value());
  }
  return varieties;
}

const Variety* find_variety(const std::vector<Variety>& varieties, std::string_view name) {
  for (const Variety& variety : varieties) {
    if (same_name(variety.name, name)) return &variety;
  }
  return nullptr;
}

}  // namespace nthtree::orchard
