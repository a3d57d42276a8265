// SPDX-License-Identifier: Apache-2.0
//
// How long the engine takes over a large season: opening it, and one more count to a new verdict.
// One program, run natively and in WebAssembly by tools/measure/run, which compares the two.
//
//   measure_engine [records] [blocks] [--verdicts 200]   one line of JSON; times in milliseconds
//   measure_engine [records] --lines [blocks]   the season itself, one record a line
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
#include "base/random.h"
#include "ledger/ledger.h"
#include "ledger/season.h"
#include "sync/client.h"

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

// A season as a phone's disk has it: each whole thousand of a device packed, the others singly.
struct Stored {
  struct Block {
    ledger::DeviceKey device;
    std::uint64_t first = 0;
    std::string packed;
  };
  std::vector<Block> blocks;
  std::vector<std::string> lines;
};

Stored stored(const std::vector<std::string>& lines) {
  constexpr std::uint64_t block_records = sync::RecordStore::block_records;
  sync::RecordStore store;
  for (const std::string& line : lines) store.put(*sync::peek_id(line), line);
  Stored all;
  store.each([&](const ledger::RecordId& id, std::string_view bytes) {
    const std::uint64_t first = (id.sequence - 1) / block_records * block_records + 1;
    const std::string_view packed = store.packed(id.device, first);
    if (packed.empty()) all.lines.emplace_back(bytes);
    else if (id.sequence == first) all.blocks.push_back({id.device, first, std::string(packed)});
  });
  return all;
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
  for (auto& [device, first, packed] : stored.blocks) {
    if (!opened.client.load_packed(device, first, std::move(packed), add)) std::exit(1);
  }
  for (const std::string& line : stored.lines) add(opened.client.load_record(line));
}

// Milliseconds from the bytes of one more count to the verdict of the one who counted.
std::vector<double> counts_to_verdict(Opened& opened, int records, int blocks, int rounds) {
  base::Random random(1);
  std::vector<double> times;
  // The first look at each block is part of opening its screen, not of a tap.
  for (int i = 0; i < blocks; ++i) opened.advisor.context(block_id(i), start_ms + records * 5000LL);
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
               "measure_engine [records] [blocks] [--lines | --verdicts N]; --read FILE: %s\n",
               error.text().c_str());
  return 2;
}

}  // namespace

int main(int argc, char** argv) {
  const auto arguments = base::read_arguments({argv + 1, argv + argc},
                                              {{"--lines", false}, {"--read", true}, {"--verdicts", true}},
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
  const auto times = counts_to_verdict(opened, records, blocks, static_cast<int>(*verdicts));
  std::printf("{\"records\":%zu,\"opening_ms\":%.1f,\"memory_mb\":%.1f,"
              "\"verdict_ms_median\":%.3f,\"verdict_ms_p95\":%.3f}\n",
              opened.season.records(), opening_ms, opened_mb, times[times.size() / 2],
              times[times.size() * 95 / 100]);
}
