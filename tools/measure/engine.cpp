// SPDX-License-Identifier: Apache-2.0
//
// How long the engine takes over a large season: opening it, and one more count to a new verdict.
// One program, run natively and in WebAssembly by tools/measure/run, which compares the two.
//
//   measure_engine [records] [blocks] [--verdicts 200]   one line of JSON; times in milliseconds,
//                                            memory on the heap: opened, and every block judged
//   measure_engine [records] --lines [blocks]   the season itself, one record a line
//   measure_engine [records] --parts [blocks]   where opening's time goes, and what reading a snapshot
//                                               of the folded season would take
//   measure_engine --read FILE                  reading and folding a file of records alone
#include <malloc.h>

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <iterator>
#include <string>
#include <vector>

#include "advice/advisor.h"
#include "base/arguments.h"
#include "base/check_sum.h"
#include "base/random.h"
#include "ledger/json_text.h"
#include "ledger/ledger.h"
#include "ledger/season.h"
#include "sync/client.h"
#include "sync/packed_lines.h"
#include "sync/packed_records.h"

using namespace nthtree;

namespace {

constexpr int pruners = 40;
constexpr std::int64_t start_ms = 1769990400000;  // 2026-02-02T00:00 UTC

double now_ms() {
  using namespace std::chrono;
  return duration<double, std::milli>(steady_clock::now().time_since_epoch()).count();
}

ledger::Record written(ledger::DeviceKey device, std::uint64_t sequence, std::int64_t at_ms,
                       std::string author, ledger::Body body) {
  ledger::Record record;
  record.id = {device, sequence};
  record.stamp = {at_ms, 0};
  record.clock_ms = at_ms;
  record.author = std::move(author);
  record.body = std::move(body);
  auto result = ledger::write_record(std::move(record));
  if (!result) {
    std::fprintf(stderr, "%s\n", result.error().text().c_str());
    std::exit(1);
  }
  return *result;
}

std::string block_id(int i) { return "b" + std::to_string(i + 1); }
std::string person_id(int i) { return "p" + std::to_string(i + 1); }

ledger::TagCount random_count(base::Random& random, int blocks) {
  ledger::TagCount count;
  count.block = block_id(static_cast<int>(random.below(blocks)));
  count.tree = {1 + static_cast<int>(random.below(60)), 1 + static_cast<int>(random.below(120))};
  count.spurs = static_cast<int>(std::min<std::int64_t>(random.negative_binomial(180, 20), 4000));
  count.seconds = 90;
  return count;
}

// The lines of a season: settings, then tag counts with a check count after every tenth; device by
// device and in order of its sequence, as a phone's store gives them.
std::vector<std::string> season_lines(int records, int blocks) {
  base::Random random(20260202);
  std::vector<std::vector<std::string>> of_device(pruners);
  int added = 0;
  const auto add = [&](int device, std::int64_t at_ms, ledger::Body body) {
    auto& lines = of_device[device];
    lines.push_back(written({7, static_cast<std::uint64_t>(device) + 1}, lines.size() + 1, at_ms,
                            person_id(device), std::move(body)).bytes);
    ++added;
  };
  for (int i = 0; i < blocks; ++i) {
    ledger::BlockSettings settings;
    auto& block = settings.block;
    block.id = block_id(i);
    block.name = "Block " + std::to_string(i + 1);
    block.variety = "Gala";
    block.rows = 60;
    block.trees_per_row = 120;
    block.spacing = {3.5, 1.0};
    block.target.fruits_per_tree = 113;
    block.target.floral_fraction = 0.9;
    add(0, start_ms + i, settings);
  }
  for (int i = 0; i < pruners; ++i) {
    const auto role = i < 3 ? orchard::Role::lead : orchard::Role::pruner;
    add(0, start_ms + 100 + i,
        ledger::PersonSettings{{person_id(i), "Person " + std::to_string(i), role, true}});
  }
  for (int i = added; i < records; ++i) {
    const std::int64_t at_ms = start_ms + 1000 + i * 5000LL;
    const ledger::TagCount count = random_count(random, blocks);
    if (i % 10 == 0) {
      add(static_cast<int>(random.below(3)), at_ms,
          ledger::CheckCount{count.block, count.tree, count.spurs, 0});
    } else {
      add(static_cast<int>(3 + random.below(pruners - 3)), at_ms, count);
    }
  }
  std::vector<std::string> lines;
  for (auto& some : of_device) {
    lines.insert(lines.end(), std::make_move_iterator(some.begin()),
                 std::make_move_iterator(some.end()));
  }
  return lines;
}

double memory_mb() {
#ifdef __GLIBC__
  const auto info = mallinfo2();
#else
  const auto info = mallinfo();
#endif
  return static_cast<double>(info.uordblks + info.hblkhd) / 1e6;
}

// A season as a phone's disk has it: each thousand of a device packed, and what is left over.
using Stored = std::vector<sync::RecordStore::Packed>;

Stored stored(const std::vector<std::string>& lines) {
  Stored all;
  std::vector<std::string_view> block;
  ledger::RecordId first;
  const auto close = [&] {
    if (!block.empty()) {
      all.push_back({first.device, first.sequence, block.size(), sync::pack_lines(block)});
    }
    block.clear();
  };
  for (const std::string& line : lines) {
    const ledger::RecordId id = *sync::peek_id(line);
    if (id.device != first.device || id.sequence % sync::RecordStore::block_records == 1) {
      close();
      first = id;
    }
    block.push_back(line);
  }
  close();
  return all;
}

// The first look at each block, as a lead's home takes it: part of opening its screen, not of a tap.
void judge_all(advice::Advisor& advisor, int records, int blocks) {
  for (int i = 0; i < blocks; ++i) {
    if (!advisor.context(block_id(i), start_ms + records * 5000LL)) std::exit(1);
    advisor.block_standings(block_id(i), start_ms + records * 5000LL);
  }
}

// The client holds every record, as the app has it.
struct Opened {
  sync::Client client;
  ledger::Season season;
  advice::Advisor advisor{season};
};

void open_season(Stored& stored, Opened& opened) {
  ledger::SeasonLoader loader(opened.season);
  const auto add = [&](const base::Result<ledger::Record>& record) {
    if (!record) std::exit(1);
    loader.add(*record);
  };
  for (sync::RecordStore::Packed& packed : stored) {
    if (!opened.client.load_packed(std::move(packed), add)) std::exit(1);
  }
}

// Milliseconds from the bytes of one more count to the verdict of the one who counted.
std::vector<double> counts_to_verdict(Opened& opened, int records, int blocks, int rounds) {
  base::Random random(1);
  std::vector<double> times;
  for (int i = 0; i < rounds; ++i) {
    const std::int64_t at_ms = start_ms + 1000 + (records + i) * 5000LL;
    const ledger::TagCount count = random_count(random, blocks);
    const auto line = written({9, 9}, i + 1, at_ms, "p7", count).bytes;
    const double begin = now_ms();
    const auto record = opened.client.load_record(line);
    opened.season.apply(*record);
    const auto verdict = opened.advisor.verdict_of(count.block, "p7", at_ms);
    times.push_back(now_ms() - begin);
    if (verdict.sureness < 0) std::exit(1);  // so that nothing is optimised away
  }
  std::sort(times.begin(), times.end());
  return times;
}

// Where the time of opening goes, in milliseconds: lines unpacked and their ids looked at, records
// read, folded, put in order at last.
struct Parts {
  double unpack = 0, read = 0, fold = 0, order = 0;
};

Parts open_in_parts(Stored& stored, ledger::Season& season) {
  Parts parts;
  sync::RecordStore store;
  ledger::SeasonLoader loader(season);
  std::vector<base::Result<ledger::Record>> records;
  double begin = now_ms();
  const auto lap = [&begin](double& part) {
    const double now = now_ms();
    part += now - std::exchange(begin, now);
  };
  for (sync::RecordStore::Packed& packed : stored) {
    const auto lines = store.put_packed(std::move(packed));
    if (!lines) std::exit(1);
    lap(parts.unpack);
    records.clear();
    sync::PackedRecords reader(*lines);
    for (std::size_t i = 0; i < lines->size(); ++i) records.push_back(reader.read(i));
    lap(parts.read);
    for (const auto& record : records) loader.add(*record);
    lap(parts.fold);
  }
  loader.finish();
  lap(parts.order);
  return parts;
}

// What a snapshot of the folded season in CBOR (RFC 8949) would take in place of the last three: each
// count an array of whole numbers, people, blocks and devices by number.
std::vector<std::uint8_t> snapshot_of(const ledger::Season& season) {
  auto all = nlohmann::json::array();
  int number = 0;
  for (const auto& [id, block] : season.blocks()) {
    auto counts = nlohmann::json::array();
    for (const auto& entry : block.tag_counts) {
      counts.push_back({entry.position.id.device.low, entry.position.id.sequence, entry.at_ms(),
                        entry.position.stamp.tick, std::atoi(entry.author.c_str() + 1),
                        entry.body.tree.row, entry.body.tree.tree, entry.body.spurs,
                        entry.body.seconds, entry.withdrawn ? 1 : 0});
    }
    all.push_back({number++, std::move(counts)});
  }
  return nlohmann::json::to_cbor(all);
}

// Fills lists of counts from a snapshot, as nlohmann's reader tells it.
class SnapshotReader : public nlohmann::json::json_sax_t {
 public:
  std::vector<ledger::Entries<ledger::TagCount>> blocks;

  bool number_unsigned(std::uint64_t value) override {
    if (depth_ < 4) return true;
    ledger::Entry<ledger::TagCount>& entry = blocks.back().back();
    const int small = static_cast<int>(value);
    switch (field_++) {
      case 0: entry.position.id.device = {7, value}; break;
      case 1: entry.position.id.sequence = value; break;
      case 2: entry.position.stamp.at_ms = static_cast<std::int64_t>(value); break;
      case 3: entry.position.stamp.tick = static_cast<std::uint32_t>(value); break;
      case 4: entry.author = names_[value % names_.size()]; break;
      case 5: entry.body.tree.row = small; break;
      case 6: entry.body.tree.tree = small; break;
      case 7: entry.body.spurs = small; break;
      case 8: entry.body.seconds = small; break;
      default: entry.withdrawn = value != 0; break;
    }
    return true;
  }
  bool start_array(std::size_t size) override {
    if (++depth_ == 3) blocks.emplace_back().reserve(size);
    if (depth_ == 4) {
      blocks.back().emplace_back().body.block = "b" + std::to_string(blocks.size());
      field_ = 0;
    }
    return true;
  }
  bool end_array() override {
    --depth_;
    return true;
  }
  bool null() override { return false; }
  bool boolean(bool) override { return false; }
  bool number_integer(std::int64_t) override { return false; }
  bool number_float(double, const std::string&) override { return false; }
  bool string(std::string&) override { return false; }
  bool binary(nlohmann::json::binary_t&) override { return false; }
  bool start_object(std::size_t) override { return false; }
  bool key(std::string&) override { return false; }
  bool end_object() override { return false; }
  bool parse_error(std::size_t, const std::string&, const nlohmann::json::exception&) override {
    return false;
  }

 private:
  std::vector<std::string> names_ = std::vector<std::string>(pruners, "p17");
  int depth_ = 0, field_ = 0;
};

int tell_parts(int records, int blocks) {
  Stored disk = stored(season_lines(records, blocks));
  ledger::Season season;
  const Parts parts = open_in_parts(disk, season);
  const std::vector<std::uint8_t> snapshot = snapshot_of(season);
  const double begin = now_ms();
  const auto sum = base::crc32({reinterpret_cast<const char*>(snapshot.data()), snapshot.size()});
  const double checked = now_ms();
  SnapshotReader reader;
  if (!nlohmann::json::sax_parse(snapshot, &reader, nlohmann::json::input_format_t::cbor)) return 1;
  const double check_ms = checked - begin, snapshot_ms = now_ms() - checked;
  std::size_t counts = 0;
  for (const auto& entries : reader.blocks) counts += entries.size();
  std::printf("{\"records\":%d,\"unpack_ms\":%.1f,\"read_ms\":%.1f,\"fold_ms\":%.1f,"
              "\"order_ms\":%.1f,\"snapshot_mb\":%.1f,\"snapshot_counts\":%zu,"
              "\"snapshot_ms\":%.1f,\"its_check_ms\":%.1f,\"sum\":\"%08x\"}\n",
              records, parts.unpack, parts.read, parts.fold, parts.order,
              static_cast<double>(snapshot.size()) / 1e6, counts, snapshot_ms, check_ms, sum);
  return 0;
}

// As the command line reads a file: part by part, nothing kept but the season.
int read_file(const char* path) {
  std::FILE* file = std::fopen(path, "rb");
  if (!file) {
    std::fprintf(stderr, "cannot read %s\n", path);
    return 1;
  }
  const double begin = now_ms();
  ledger::Season season;
  ledger::SeasonLoader loader(season);
  ledger::LedgerReader reader([&](const ledger::Record& record) { loader.add(record); },
                              [](const base::Error&) { std::exit(1); });
  char buffer[65536];
  for (std::size_t n; (n = std::fread(buffer, 1, sizeof buffer, file)) > 0;) {
    reader.take({buffer, n});
  }
  reader.end();
  loader.finish();
  std::fclose(file);
  std::printf("{\"records\":%zu,\"us_a_record\":%.3f}\n", season.records(),
              1000 * (now_ms() - begin) / static_cast<double>(season.records()));
  return 0;
}

int refused(const base::Error& error) {
  std::fprintf(stderr,
               "measure_engine [records] [blocks] [--lines | --parts | --verdicts N]; "
               "--read FILE: %s\n",
               error.text().c_str());
  return 2;
}

}  // namespace

int main(int argc, char** argv) {
  const auto arguments = base::read_arguments({argv + 1, argv + argc},
                                              {{"--lines", false}, {"--parts", false},
                                               {"--read", true}, {"--verdicts", true}},
                                              0, 2);
  if (!arguments) return refused(arguments.error());
  if (arguments->has("--read")) return read_file(arguments->value("--read").c_str());
  const auto records_wanted = arguments->whole(0, 1000, 10000000, 200000, "records");
  const auto blocks_wanted = arguments->whole(1, 1, 10000000, 40, "blocks");
  if (!records_wanted) return refused(records_wanted.error());
  if (!blocks_wanted) return refused(blocks_wanted.error());
  const auto verdicts = arguments->has("--verdicts")
      ? base::read_whole(arguments->value("--verdicts"), 1, 1000000, "--verdicts")
      : base::Result<std::int64_t>(200);
  if (!verdicts) return refused(verdicts.error());
  const int records = static_cast<int>(*records_wanted);
  const int blocks = static_cast<int>(*blocks_wanted);
  if (arguments->has("--parts")) return tell_parts(records, blocks);
  const double empty_mb = memory_mb();
  auto lines = season_lines(records, blocks);
  if (arguments->has("--lines")) {
    for (const std::string& line : lines) std::printf("%s\n", line.c_str());
    return 0;
  }
  Stored disk = stored(std::exchange(lines, {}));
  Opened opened;
  const double begin = now_ms();
  open_season(disk, opened);
  const double opening_ms = now_ms() - begin;
  disk = {};
  const double opened_mb = memory_mb() - empty_mb;
  judge_all(opened.advisor, records, blocks);
  const double judged_mb = memory_mb() - empty_mb;
  const auto times = counts_to_verdict(opened, records, blocks, static_cast<int>(*verdicts));
  std::printf("{\"records\":%zu,\"opening_ms\":%.1f,\"memory_mb\":%.1f,"
              "\"judged_mb\":%.1f,\"verdict_ms_median\":%.3f,\"verdict_ms_p95\":%.3f}\n",
              opened.season.records(), opening_ms, opened_mb, judged_mb,
              times[times.size() / 2], times[times.size() * 95 / 100]);
}
