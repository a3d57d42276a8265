// SPDX-License-Identifier: Apache-2.0
//
// The season: what all records held so far add up to. A fold in (stamp, id) order, kept up to date
// record by record, so that every device that holds the same records shows the same numbers,
// whatever order they came in.
//
// Invariants: the state depends only on the set of records applied; one record touches at most one
// block, whose change log says what; a correction keeps the place and time of what it corrects.
// Not here: any judgement (see advice/), any storage.
//
//   Season season;
//   season.apply(record);                     // twice is the same as once
//   const BlockSeason* block = season.block("b1");
#pragma once

#include <array>
#include <cstdint>
#include <limits>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <unordered_map>
#include <utility>
#include <vector>

#include "base/remembered.h"
#include "base/time_zone.h"
#include "ledger/record.h"
#include "ledger/seats.h"
#include "orchard/degree_days.h"

namespace nthtree::ledger {

// One change of a setting that stands: who said it when, and what it replaced.
struct SettingsEntry {
  FoldPosition position;
  std::string author;
  const Body* now = nullptr;
  const Body* before = nullptr;  // null: it was the first
  bool in_force = false;         // nothing later was said of the same
};

// Lowest and highest temperatures by day, in °C, of one station.
struct Weather {
  std::string station;
  std::map<std::int64_t, orchard::DayTemperatures> days;  // days since 1970-01-01
};

// From one closing to the next: what was written after from_ms and not after to_ms.
struct SeasonSpan {
  int year = 0;  // of the harvest; 0: the season at hand, which nobody has closed
  std::int64_t from_ms = std::numeric_limits<std::int64_t>::min();
  std::int64_t to_ms = std::numeric_limits<std::int64_t>::max();
  std::string closed_by;   // person id
  FoldPosition closing;    // of the record that closed it

  bool holds(std::int64_t at_ms) const { return at_ms > from_ms && at_ms <= to_ms; }
};

class Season {
 public:
  // Applies one record; a record already applied changes nothing (returns false).
  bool apply(const Record& record);
  // Applies many at once, to the same end (SeasonLoader, below).
  void apply_all(const std::vector<Record>& records);
  // Forgets every record. The revision goes on, so that nothing made before is taken for current.
  void begin_anew();

  const FarmSettings& farm() const { return farm_; }
  bool has_farm() const { return has_farm_; }
  // The farm's clock: its rule, or the fixed offset that older records have, which also stands in
  // for a rule of a later form.
  const base::TimeZone& time_zone() const { return time_zone_; }
  const std::map<std::string, BlockSeason>& blocks() const { return blocks_; }
  const std::map<std::string, orchard::Person>& people() const { return people_; }
  // What the farm set of its varieties, by orchard::variety_key.
  const std::map<std::string, orchard::VarietyChange>& varieties() const { return varieties_; }
  std::vector<orchard::VarietyChange> variety_changes() const;
  const BlockSeason* block(std::string_view id) const;            // null where unknown
  const orchard::Person* person(std::string_view id) const;       // null where unknown
  // The records that the settings of now come from: farm, blocks, people, varieties.
  std::vector<RecordId> settings_in_force() const;
  // All changes of settings that were not withdrawn, the latest first. Valid until the next record.
  std::vector<SettingsEntry> settings_history() const;
  std::uint64_t revision() const { return revision_; }
  std::size_t records() const { return seats_.size(); }
  std::size_t unknown_records() const { return unknown_records_; }

  // The days of each station by its name; two stations are never mixed.
  const std::map<std::string, Weather>& stations() const { return stations_; }
  // Of the station whose record came last; empty where there is none.
  const Weather& weather() const { return weather_of_station(last_station_); }
  // The station that the block names; where it names none, the one whose record came last.
  const std::string& station_of(const std::string& block_id) const;
  // Of that station; empty where it has no days, for another's would not be this block's.
  const Weather& weather_of(const std::string& block_id) const {
    return weather_of_station(station_of(block_id));
  }
  // The seasons that were closed and the one at hand, which comes last, in order of time.
  const std::vector<SeasonSpan>& spans() const { return spans_; }
  // A closed season as it stood when it ended, to be judged by the same functions: its entries are
  // open and all others closed, its settings those of its end. What comes after is not in it, and
  // it takes no records. An index into spans().
  Season as_of_span(std::size_t span) const;

  // Eight hexadecimal digits made of the record that the block came from: two farms' blocks may
  // share an id, but the mark by a chance of one in four thousand million. Empty where unknown.
  std::string block_mark(const std::string& id) const;

  // Day number at the farm (days since 1970-01-01, local) that a moment belongs to.
  std::int64_t day_of(std::int64_t at_ms) const;

  // A digest of everything above, equal on two devices exactly when their seasons are.
  std::string fingerprint() const;

 private:
  friend class SeasonLoader;

  // What has replaced a record since. Few are ever replaced.
  struct Replaced {
    std::optional<FoldPosition> latest;        // of all replacements, withdrawals included
    std::optional<FoldPosition> latest_value;  // of the corrections alone
    bool withdrawn = false;                    // what `latest` says
  };
  // What a device wrote one after the other stands side by side in memory.
  struct IdHash {
    std::size_t operator()(const RecordId& id) const noexcept {
      return static_cast<std::size_t>(id.device.low * 0x9e3779b97f4a7c15u + id.sequence);
    }
  };

  bool has_entry(const RecordId& id) const;
  template <typename T>
  void insert(const Record& record, const T& body, Seat& seat);
  template <typename T>
  void change(const RecordId& root, Seat& seat, bool withdrawn, const Record* new_value);
  template <typename T>
  void settle(const Record& record, const T& body);
  void keep(const FarmSettings& settings);
  void keep(const BlockSettings& settings);
  void keep(const PersonSettings& settings);
  void keep(const VarietySettings& settings);
  void forget(const FarmSettings& settings);
  void forget(const BlockSettings& settings);
  void forget(const PersonSettings& settings);
  void forget(const VarietySettings& settings);
  void keep(const Temperatures&) {}
  void forget(const Temperatures&) {}
  void keep(const SeasonClosed&) {}
  void forget(const SeasonClosed&) {}
  // What is made of all records of its kind that stand, not of the latest alone.
  void made_of_all(std::size_t kind);
  void read_weather();
  const Weather& weather_of_station(const std::string& name) const;
  void read_closings();
  void mark_closed(const SeasonSpan& open);
  void withdraw_settings(const RecordId& id);
  void apply_replacement(const Record& record);
  void release_waiting(const RecordId& id);
  void replace(const RecordId& root, const Record& by);
  BlockSeason& block_for(const std::string& id, const Change& change = {});
  BlockSeason& block_named(const std::string& id);

  FarmSettings farm_;
  base::TimeZone time_zone_;
  bool has_farm_ = false;
  std::map<std::string, BlockSeason> blocks_;
  // By the end of their names, where a block was found last.
  std::array<base::Remembered<BlockSeason>, 64> blocks_found_;
  std::map<std::string, orchard::Person> people_;
  std::map<std::string, orchard::VarietyChange> varieties_;
  // All settings that are not withdrawn, by index of Body and key(): the latest are in force.
  using Subject = std::pair<std::size_t, std::string>;
  struct Said {
    Body body;
    std::string author;
  };
  std::map<Subject, std::map<FoldPosition, Said>> settings_;
  std::unordered_map<RecordId, std::pair<Subject, FoldPosition>, IdHash> settings_at_;
  Seats seats_;  // every record applied
  std::unordered_map<RecordId, Replaced, IdHash> replaced_;
  std::vector<std::string> block_ids_;  // by BlockSeason::number
  // Corrections of corrections lead back to the first record through this.
  std::unordered_map<RecordId, RecordId, IdHash> root_of_replacement_;
  // Replacements that came before what they replace, by the id they wait for.
  std::unordered_multimap<RecordId, Record, IdHash> waiting_;
  std::uint64_t revision_ = 0;
  std::size_t unknown_records_ = 0;
  bool is_loading_ = false;
  std::map<std::string, Weather> stations_;
  std::string last_station_;
  std::vector<SeasonSpan> spans_ = {{}};
};

// Takes many records, one at a time and in any order, to the same end as Season::apply. Records
// come from a store or a file device by device: putting each in its place by itself would move all
// that came after it. Here each goes to the end of its list, and lists are put in order at last.
// The season must not be looked at before.
//
//   SeasonLoader loader(season);
//   for (const Record& record : records) loader.add(record);
//   loader.finish();
class SeasonLoader {
 public:
  explicit SeasonLoader(Season& season) : season_(season) { season_.is_loading_ = true; }
  ~SeasonLoader() { finish(); }
  SeasonLoader(const SeasonLoader&) = delete;
  SeasonLoader& operator=(const SeasonLoader&) = delete;

  void add(const Record& record);
  void finish();

 private:
  Season& season_;
  std::vector<Record> late_;  // what changes an entry, which must be found first
};

}  // namespace nthtree::ledger
