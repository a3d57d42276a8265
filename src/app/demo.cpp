// SPDX-License-Identifier: Apache-2.0
#include "app/demo.h"

#include <algorithm>
#include <utility>

#include "base/text.h"

namespace nthtree::app {
namespace {

// A key for records of the demo, which never leave the memory.
constexpr ledger::DeviceKey demo_device{0xDE30, 1};

}  // namespace

void Demo::look() {
  season_ = {};
  sequence_ = 0;
  request_ = context_.next_request();
  context_.platform.fetch_asset(request_, "demo.jsonl");
}

bool Demo::http_done(RequestId id, int status, std::string_view body) {
  if (request_ == 0 || id != request_) return false;
  request_ = 0;
  open(status == 200 ? body : std::string_view());
  return true;
}

void Demo::open(std::string_view lines) {
  ledger::Stamp latest;
  while (!lines.empty()) {
    const auto record = ledger::read_record(base::take_line(lines));
    if (!record) continue;
    latest = std::max(latest, record->stamp);
    season_.apply(*record);
  }
  if (latest.at_ms == 0) return context_.toast("toast.no_demo", {}, true);
  before_ = context_.session();
  // A few minutes after the last record: the demo's day is still going on.
  context_.show(&season_, latest.at_ms + 5 * 60 * 1000 - context_.platform.wall_ms());
  context_.tell(screens::DemoOpened{});
}

base::Result<ledger::Record> Demo::written(const ledger::Body& body,
                                           const screens::SaveRecords& wish) {
  const std::int64_t now_ms = context_.session().now_ms;
  ledger::Record record;
  record.id = {demo_device, ++sequence_};
  record.stamp = {now_ms, static_cast<std::uint32_t>(sequence_ % 1000)};
  record.clock_ms = now_ms;
  record.author = wish.author.empty() ? context_.session().person : wish.author;
  record.replaces = wish.replaces;
  record.body = body;
  return ledger::write_record(std::move(record));
}

void Demo::save(const screens::SaveRecords& wish) {
  std::vector<ledger::Record> records;
  for (const ledger::Body& body : wish.bodies) {
    auto record = written(body, wish);
    if (!record) return context_.tell(screens::Refused{body, record.error().text()});
    records.push_back(std::move(*record));
  }
  if (records.empty()) return;
  context_.tell(screens::Writing{wish.from, wish.bodies.front(), records.front().id});
  for (const ledger::Record& record : records) season_.apply(record);
  context_.tell(screens::Saved{});
}

void Demo::leave() {
  if (!context_.session().demo) return;
  context_.show(nullptr);
  context_.tell(screens::DemoLeft{std::exchange(before_, {})});
  season_ = {};
}

}  // namespace nthtree::app
