// SPDX-License-Identifier: Apache-2.0
//
// Records for tests, made the way the app makes them.
#pragma once

#include <doctest/doctest.h>

#include <fstream>
#include <sstream>
#include <string>

#include "ledger/record.h"
#include "support/places.h"

namespace nthtree::test {

inline constexpr ledger::DeviceKey phone_a{0xaaaa, 1};
inline constexpr ledger::DeviceKey phone_b{0xbbbb, 2};
inline constexpr std::int64_t monday_ms = 1769990400000;  // 2026-02-02T00:00 UTC

// A record written on `device` as its `sequence`-th, `minute` minutes after monday_ms.
inline ledger::Record record_of(ledger::DeviceKey device, std::uint64_t sequence, int minute,
                                ledger::Body body, std::string author = "p1",
                                std::optional<ledger::RecordId> replaces = std::nullopt) {
  ledger::Record record;
  record.id = {device, sequence};
  record.stamp = {monday_ms + minute * 60000LL, 0};
  record.clock_ms = record.stamp.at_ms;
  record.author = std::move(author);
  record.replaces = replaces;
  record.body = std::move(body);
  auto written = ledger::write_record(record);
  REQUIRE_MESSAGE(written.ok(), (written.ok() ? "" : written.error().text()));
  return *written;
}

inline ledger::TagCount tag(int row, int tree, int spurs, std::string block = "b1") {
  ledger::TagCount count;
  count.block = std::move(block);
  count.tree = {row, tree};
  count.spurs = spurs;
  return count;
}

inline ledger::BlockSettings block_settings(std::string id = "b1") {
  ledger::BlockSettings settings;
  auto& block = settings.block;
  block.id = std::move(id);
  block.name = "Creek";
  block.variety = "Gala";
  block.rows = 40;
  block.trees_per_row = 90;
  block.spacing = {3.5, 1.0};
  block.target.fruits_per_tree = 113;
  block.target.insurance_factor = 1.5;
  block.target.floral_fraction = 0.9;
  return settings;
}

inline std::string file_text(const std::string& path_in_project) {
  std::ifstream file(in_project(path_in_project), std::ios::binary);
  std::ostringstream text;
  text << file.rdbuf();
  return text.str();
}

}  // namespace nthtree::test
