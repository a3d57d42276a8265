// SPDX-License-Identifier: Apache-2.0
#include "cli/season_files.h"

#include <algorithm>
#include <chrono>
#include <filesystem>

#include "base/text.h"
#include "cli/text_files.h"
#include "ledger/ledger.h"
#include "ledger/season_span.h"

namespace nthtree::cli {

using base::Error;
using base::Result;

namespace {

constexpr std::int64_t minute_ms = 60000;
constexpr std::int64_t day_ms = 24 * 60 * minute_ms;

std::int64_t wall_ms(const ledger::Season& season, std::int64_t at_ms) {
  return at_ms + season.time_zone().offset_minutes(at_ms) * minute_ms;
}

Result<std::int64_t> moment_of(const std::string& at, const base::TimeZone& farm) {
  std::int64_t ms = 0;
  if (!base::parse_iso(at, ms)) {
    return Error{"not_a_time", "\"" + at + "\" is not a time: 2026-02-04, 2026-02-04T12:00 or "
                 "2026-02-04T12:00Z is allowed", "--at"};
  }
  const bool day_only = at.size() == 10;
  const bool utc = at.back() == 'Z';
  const std::int64_t wall_ms = ms + (day_only ? day_ms - 1 : 0);
  return utc ? wall_ms : farm.moment_of(wall_ms);
}

std::string shown(const std::string& path) { return path == "-" ? "standard input" : path; }

ledger::LedgerReader reader_of(const std::string& path, ledger::LedgerReader::OnRecord take,
                               std::vector<Error>& errors) {
  return {std::move(take), [&errors, name = shown(path)](Error error) {
            error.where = name + ": " + error.where;
            errors.push_back(std::move(error));
          }};
}

// The ledger files under the given paths, to be gone through more than once. What comes in on
// standard input comes once, so it is held.
class LedgerFiles {
 public:
  base::Status name(const std::vector<std::string>& given) {
    for (const std::string& path : given) {
      const auto files = ledger_paths(path);
      if (!files) return files.error();
      paths_.insert(paths_.end(), files->begin(), files->end());
    }
    return base::Ok{};
  }

  base::Status each(const ledger::LedgerReader::OnRecord& take, std::vector<Error>& errors) {
    for (const std::string& path : paths_) {
      auto reader = reader_of(path, take, errors);
      if (const auto read = feed(path, reader); !read) return read.error();
      reader.end();
    }
    return base::Ok{};
  }

 private:
  base::Status feed(const std::string& path, ledger::LedgerReader& reader) {
    if (path == "-" && !standard_input_) {
      auto text = read_text(path, ledger::ledger_file_bytes_max);
      if (!text) return text.error();
      standard_input_ = std::move(*text);
    }
    if (path != "-") {
      return each_part(path, ledger::ledger_file_bytes_max,
                       [&](std::string_view part) { reader.take(part); });
    }
    reader.take(*standard_input_);
    return base::Ok{};
  }

  std::vector<std::string> paths_;
  std::optional<std::string> standard_input_;
};

}  // namespace

Result<std::vector<std::string>> ledger_paths(const std::string& path) {
  namespace fs = std::filesystem;
  std::error_code problem;
  if (!fs::is_directory(path, problem)) {
    if (path != "-" && !fs::exists(path, problem)) {
      return Error{"cannot_read", "there is no such file or folder", path};
    }
    return std::vector<std::string>{path};
  }
  std::vector<std::string> paths;
  for (fs::directory_iterator it(path, problem), end; !problem && it != end;
       it.increment(problem)) {
    if (it->path().extension() == ".jsonl") paths.push_back(it->path().string());
  }
  if (problem) return Error{"cannot_read", problem.message(), path};
  if (paths.empty()) return Error{"cannot_read", "holds no ledger file (*.jsonl)", path};
  std::sort(paths.begin(), paths.end());
  return paths;
}

Result<LedgerText> read_ledger(const std::string& path) {
  LedgerText text{shown(path), {}, {}};
  auto reader = reader_of(
      path, [&](ledger::Record record) { text.records.push_back(std::move(record)); },
      text.errors);
  const auto read = each_part(path, ledger::ledger_file_bytes_max,
                              [&](std::string_view part) { reader.take(part); });
  if (!read) return read.error();
  reader.end();
  return text;
}

Result<LoadedRecords> load_records(const std::vector<std::string>& paths, bool skip_bad) {
  LoadedRecords loaded;
  for (const std::string& given : paths) {
    const auto files = ledger_paths(given);
    if (!files) return files.error();
    for (const std::string& path : *files) {
      auto file = read_ledger(path);
      if (!file) return file.error();
      if (!file->errors.empty() && !skip_bad) return file->errors.front();
      for (auto& record : file->records) loaded.records.push_back(std::move(record));
      for (auto& error : file->errors) loaded.skipped.push_back(std::move(error));
    }
  }
  sort_records(loaded.records);
  return loaded;
}

void sort_records(std::vector<ledger::Record>& records) {
  std::stable_sort(records.begin(), records.end(),
                   [](const auto& a, const auto& b) { return a.position() < b.position(); });
}

Result<FarmMoment> load_farm(const std::vector<std::string>& given, const std::string& at,
                             bool skip_bad) {
  LedgerFiles files;
  if (const auto named = files.name(given); !named) return named.error();

  FarmMoment farm;
  ledger::Present present;
  // The farm's clock is itself a record: the season's own, whenever it was written.
  ledger::Season settings;
  const auto read = files.each(
      [&](const ledger::Record& record) {
        present.add(record);
        if (std::holds_alternative<ledger::FarmSettings>(record.body)) settings.apply(record);
      },
      farm.skipped);
  if (!read) return read.error();
  if (!farm.skipped.empty() && !skip_bad) return farm.skipped.front();

  farm.now_ms = farm.present_ms = present.ms();
  if (!at.empty()) {
    const auto moment = moment_of(at, settings.time_zone());
    if (!moment) return moment.error();
    farm.now_ms = *moment;
  }
  ledger::LatePhones late(farm.present_ms);
  ledger::SeasonLoader loader(farm.season);
  std::vector<Error> told_already;
  const auto again = files.each(
      [&](const ledger::Record& record) {
        late.add(record.position(), record.author);
        if (record.stamp.at_ms <= farm.now_ms) loader.add(record);
      },
      told_already);
  if (!again) return again.error();
  loader.finish();
  farm.ahead = late.all();
  return farm;
}

std::string ahead_text(const ledger::Season& season, const ledger::WrittenAhead& phone,
                       std::int64_t present_ms) {
  return base::print("phone %s%s: %zu %s stamped %d days ahead of every other, from %s",
                     phone.device.text().c_str(),
                     phone.author.empty() ? "" : (" of " + phone.author).c_str(), phone.records,
                     phone.records == 1 ? "record" : "records", phone.days_past(present_ms),
                     farm_time(season, phone.first_ms).c_str());
}

Result<FarmMoment> farm_asked_for(const base::Arguments& arguments,
                                  const std::vector<std::string>& paths) {
  return load_farm(paths, arguments.value("--at"), arguments.has("--skip-bad"));
}

std::string skipped_text(const std::vector<base::Error>& skipped) {
  std::string text;
  for (const base::Error& error : skipped) text += "skipped: " + error.text() + "\n";
  return text;
}

std::string notes_text(const FarmMoment& farm) {
  std::string text;
  for (const std::string& note : farm.notes()) text += "note: " + note + "\n";
  return text;
}

std::vector<std::string> FarmMoment::notes() const {
  std::vector<std::string> notes;
  for (const ledger::WrittenAhead& phone : ahead) {
    const bool waits = phone.first_ms > now_ms;
    notes.push_back(ahead_text(season, phone, present_ms) +
                    (waits ? "; left out until then (--at shows them): set its clock"
                           : "; set its clock"));
  }
  const std::int64_t begins_ms = ledger::season_begins(season, now_ms);
  if (const std::size_t earlier = ledger::counts_before(season, begins_ms); earlier > 0) {
    notes.push_back(base::print("%zu tag counts from before %s are of earlier seasons and are not "
                                "looked at; --at a day of theirs shows them", earlier,
                                farm_time(season, begins_ms).substr(0, 10).c_str()));
  }
  return notes;
}

std::string farm_time(const ledger::Season& season, std::int64_t at_ms) {
  std::string text = base::iso_minute(wall_ms(season, at_ms));
  return text.replace(text.find('T'), 1, " ");
}

std::string short_time(const ledger::Season& season, std::int64_t at_ms) {
  using namespace std::chrono;
  static const char* const days_[] = {"Sun", "Mon", "Tue", "Wed", "Thu", "Fri", "Sat"};
  static const char* const months_[] = {"Jan", "Feb", "Mar", "Apr", "May", "Jun",
                                        "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"};
  const std::int64_t local = wall_ms(season, at_ms);
  const auto day = floor<days>(sys_time<milliseconds>(milliseconds(local)));
  const year_month_day date(day);
  const auto minute = static_cast<int>(((local % day_ms) + day_ms) % day_ms / minute_ms);
  return base::print("%s %u %s %02d:%02d", days_[weekday(day).c_encoding()],
                     static_cast<unsigned>(date.day()),
                     months_[static_cast<unsigned>(date.month()) - 1], minute / 60, minute % 60);
}

}  // namespace nthtree::cli
