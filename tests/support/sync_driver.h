// SPDX-License-Identifier: Apache-2.0
//
// One phone and its hub without anything between them: carries out what the client asks for, at
// once, and keeps what it said. Tests put failures in by hand.
#pragma once

#include <deque>
#include <map>
#include <memory>
#include <string>
#include <vector>

#include "support/memory_hub_store.h"
#include "support/records.h"
#include "sync/client.h"
#include "sync/hub_side.h"

namespace nthtree::test {

// The device of a phone that drew these bits at its first start.
inline ledger::DeviceKey device_drawn(ledger::DeviceKey bits) {
  return sync::device_of_proof(bits.text());
}

struct HubOfTest {
  MemoryHubStore store{"epoch 1"};
  sync::HubSide side{store};
  std::vector<std::string> paths;  // of all requests answered
  int refuse_status = 0;           // answers everything with this …
  std::string refuse_path;         // … or, where set, what comes to this path
  std::string refuse_word = "refused";
  std::int64_t clock_ms = monday_ms;
  sync::Sender sender{1, "phone", "", orchard::Role::manager};  // whoever asked last
  int keys = 0;                                                 // given out

  HubOfTest() { CHECK(side.open().ok()); }

  sync::HubReply answer(const std::string& path, const std::string& body,
                        const std::string& bearer = "key") {
    paths.push_back(path);
    const bool is_refused = refuse_path.empty() || refuse_path == path;
    if (refuse_status != 0 && is_refused) return {refuse_status, sync::write_error({refuse_word, "", ""})};
    if (path == sync::path_join) {
      return {200, sync::write(sync::JoinReply{"key" + std::to_string(++keys)})};
    }
    if (bearer.substr(0, 3) != "key") return {401, sync::write_error({"no_key", "", ""})};
    sender.key = bearer == "key" ? 1 : std::stoll(bearer.substr(3));
    auto request = sync::read_hub_request(path, body);
    if (!request) return {400, sync::write_error(request.error())};
    sync::HubReply reply = side.take(*request, sender, clock_ms);
    if (reply.status == 200) {
      store.commit();
    } else {
      store.rollback();
      CHECK(side.open().ok());
    }
    return reply;
  }
};

struct PhoneOfTest {
  HubOfTest* hub;  // null: no network
  std::unique_ptr<sync::Client> client = std::make_unique<sync::Client>();
  sync::Moment now{monday_ms, 0, 0};
  std::map<ledger::RecordId, std::string> disk;
  std::string state;
  std::uint64_t next_key = 1000;
  bool disk_full = false;
  std::deque<sync::Send> sent;  // that nobody has answered
  std::vector<sync::Notice> notices;
  std::vector<ledger::Record> applied;
  int rebuilds = 0;
  int joined = 0;

  explicit PhoneOfTest(HubOfTest* h, ledger::DeviceKey key = phone_a) : hub(h) {
    client->start(key, now);
    run();
  }

  void join() {
    client->join("ABCDE-FGHJK", "tablet", now);
    run();
  }

  ledger::Record count(int spurs) {
    auto record = client->write(tag(1, 1, spurs), "p1", std::nullopt, now.wall_ms);
    REQUIRE(record.ok());
    disk[record->id] = record->bytes;
    client->local_stored(record->id, now);
    run();
    return *record;
  }

  void wait(std::int64_t ms) {
    now.elapsed_ms += ms;
    now.wall_ms += ms;
    client->tick(now);
    run();
  }

  void run() {
    for (int rounds = 0; rounds < 200; ++rounds) {
      auto actions = client->take_actions();
      if (actions.empty()) return;
      for (sync::Action& action : actions) carry_out(action);
    }
    FAIL("the client never comes to rest");
  }

  void carry_out(sync::Action& action) {
    if (auto* send = std::get_if<sync::Send>(&action)) {
      if (!hub) return sent.push_back(std::move(*send));
      const auto reply = hub->answer(send->path, send->body, send->bearer);
      client->response(send->request, reply.status, reply.body, now);
    } else if (auto* store = std::get_if<sync::StoreChange>(&action)) {
      if (!disk_full) {
        for (const auto& place : store->puts) disk[place.id] = place.bytes;
        for (const auto& id : store->drops) disk.erase(id);
        state = store->state;
      }
      client->store_done(store->store, !disk_full, now);
    } else if (auto* apply = std::get_if<sync::Apply>(&action)) {
      for (auto& record : apply->records) applied.push_back(std::move(record));
      rebuilds += apply->rebuild;
    } else if (std::get_if<sync::WantDeviceKey>(&action)) {
      client->use_device_key({++next_key, next_key}, now);
    } else if (std::get_if<sync::Joined>(&action)) {
      ++joined;
    } else if (auto* notice = std::get_if<sync::Notice>(&action)) {
      notices.push_back(*notice);
    }
  }

  int told(sync::Notice::Kind kind) const {
    int times = 0;
    for (const auto& notice : notices) times += notice.kind == kind;
    return times;
  }

  // The same phone, or a clone of it, started again from this one's disk.
  void start_from(const PhoneOfTest& other) {
    disk = other.disk;
    state = other.state;
    client = std::make_unique<sync::Client>();
    client->load_state(state);
    for (const auto& [id, bytes] : disk) (void)client->load_record(bytes).ok();
    client->start({77, 77}, now);
    run();
  }
};

}  // namespace nthtree::test
