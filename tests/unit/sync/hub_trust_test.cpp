// SPDX-License-Identifier: Apache-2.0
//
// One key against the rest of the farm: each case once broke something. THREATS.md names them.
#include "sync/hub_side.h"

#include "support/memory_hub_store.h"
#include "support/records.h"

namespace nthtree::sync {
namespace {

using orchard::Role;
using test::monday_ms;
using test::record_of;
using test::tag;

struct Phone {  // as much of one as pushing takes
  std::string proof;
  Sender sender;
  ledger::DeviceKey device = device_of_proof(proof);
};

struct Farm {
  test::MemoryHubStore store{"e1"};
  HubSide side{store};
  std::int64_t wall_ms = monday_ms;
  Phone ana{"ana's text", {1, "ana's", "p1", Role::pruner}};
  Phone ben{"ben's text", {2, "ben's", "p2", Role::pruner}};
  Phone lead{"the lead's text", {3, "the lead's", "", Role::lead}};
  Phone manager{"the manager's text", {4, "the manager's", "", Role::manager}};

  Farm() {
    REQUIRE(side.open().ok());
    for (const Phone* phone : {&ana, &ben, &lead, &manager}) hello(*phone);
  }
  HubReply ask(const Phone& phone, std::string_view path, std::string body) {
    const auto request = read_hub_request(path, std::move(body));
    REQUIRE_MESSAGE(request.ok(), (request.ok() ? "" : request.error().text()));
    return side.take(*request, phone.sender, wall_ms);
  }
  HelloReply hello(const Phone& phone, Coverage have = {}, std::string proof = "") {
    const HelloRequest hello{phone.device, std::move(have), {}, 1,
                             {proof.empty() ? phone.proof : proof}};
    return *read_hello_reply(*read_envelope(ask(phone, path_hello, write(hello)).body));
  }
  PushReply push(const Phone& phone, const std::vector<RawRecord>& raw_records) {
    PushRequest push{phone.device, {}, {}, {}};
    for (const RawRecord& raw : raw_records) {
      push.ids.push_back(raw.id);
      push.lines.push_back(raw.bytes);
    }
    return *read_push_reply(*read_envelope(ask(phone, path_push, write(push)).body));
  }
  PushReply push(const Phone& phone, const ledger::Record& record) {
    return push(phone, {{record.id, record.bytes}});
  }
  Standing standing(const ledger::Record& record) { return side.standing_of(record.id); }
};

ledger::Record by(const Phone& phone, std::uint64_t sequence, ledger::Body body,
                  std::string author = "p1",
                  std::optional<ledger::RecordId> replaces = std::nullopt) {
  return record_of(phone.device, sequence, 0, std::move(body), std::move(author), replaces);
}

TEST_SUITE("sync") {

TEST_CASE("other bytes under somebody's next id took the place of the true record") {
  Farm farm;
  const auto forged = by(farm.ana, 1, tag(1, 1, 999)), real = by(farm.ana, 1, tag(1, 1, 100));
  farm.push(farm.ben, forged);
  CHECK(farm.standing(forged).rank == Rank::hearsay);
  CHECK(farm.side.head(farm.ana.device) == 0);
  // It is asked for although something stands under its number, and it takes that number.
  Coverage have;
  have[farm.ana.device].add(1);
  CHECK(farm.hello(farm.ana, have).missing == have);
  CHECK(farm.push(farm.ana, real).head == 1);
  CHECK(farm.store.bytes(real.id) == real.bytes);
  CHECK(farm.standing(real).rank == Rank::owned);
  farm.push(farm.ben, forged);
  CHECK(farm.store.bytes(real.id) == real.bytes);
}

TEST_CASE("garbage for another device raised its head, and its records were never asked for") {
  Farm farm;
  std::vector<RawRecord> garbage;
  for (std::uint64_t s = 1; s <= 200; ++s) garbage.push_back({{farm.ana.device, s}, "garbage"});
  farm.push(farm.ben, garbage);
  CHECK(farm.side.head(farm.ana.device) == 0);
  Coverage have;
  have[farm.ana.device].add(1, 5);
  CHECK(farm.hello(farm.ana, have).missing == have);
  // Also where it says that it is that device.
  Phone pretender = farm.ben;
  pretender.device = farm.ana.device;
  farm.push(pretender, garbage);
  CHECK(farm.side.head(farm.ana.device) == 0);
  CHECK(farm.hello(farm.ana, have).missing == have);
}

TEST_CASE("numbers scattered far made every hello fail for good") {
  Farm farm;
  Coverage held;
  for (int batch = 0; batch < 25; ++batch) {
    std::vector<RawRecord> raw_records;
    for (int i = 0; i < 200; ++i) {
      const auto sequence = static_cast<std::uint64_t>(2 * (200 * batch + i) + 2);
      const auto record = by(farm.ana, sequence, tag(1, 1, 1));
      raw_records.push_back({record.id, record.bytes});
    }
    farm.push(farm.ben, raw_records);
  }
  CHECK(farm.side.held().at(farm.ana.device).ranges().size() == holes_max);
  const auto hello = read_hub_request(
      path_hello, write(HelloRequest{farm.manager.device, farm.side.held(), {}, 1, {}}));
  CHECK(hello.ok());
  // And however many a phone holds, it says what fits.
  Coverage many;
  for (std::uint64_t i = 1; i <= 5000; ++i) many[farm.ana.device].add(2 * i);
  for (std::uint64_t d = 1; d <= 20000; ++d) many[{d, d}].add(1);
  const std::string said = write(HelloRequest{farm.manager.device, many, {}, 1, {}});
  CHECK(said.size() < head_bytes_max);
  CHECK(read_hub_request(path_hello, said).ok());
  CHECK(farm.push(farm.ana, by(farm.ana, 1, tag(1, 1, 1))).head == 1);
}

TEST_CASE("a device belongs to the key that shows what it is the digest of, and to no guess") {
  Farm farm;
  Phone thief = farm.ben;
  thief.device = farm.ana.device;
  CHECK(farm.hello(thief, {}, "a guess").not_owner);
  CHECK_FALSE(farm.hello(farm.ana).not_owner);
  // The same phone, joined again with another key.
  Phone again = farm.ana;
  again.sender.key = 9;
  CHECK_FALSE(farm.hello(again).not_owner);
  CHECK(farm.hello(farm.ana, {}, "a guess").not_owner);
}

TEST_CASE("what others bring is kept as hearsay until its owner brings it") {
  Farm farm;
  const auto record = by(farm.ana, 1, tag(1, 1, 100));
  farm.push(farm.ben, record);
  CHECK(farm.standing(record) == Standing{Rank::hearsay, "", 0});
  farm.push(farm.ana, record);
  CHECK(farm.standing(record).usual());
  CHECK(farm.store.last_arrival() == 2);  // told to all again
}

TEST_CASE("a pruner's key set the farm, re-counted and advised") {
  Farm farm;
  ledger::FarmSettings settings;
  settings.name = "mine";
  const auto farm_record = by(farm.ana, 1, settings);
  const auto check = by(farm.ana, 2, ledger::CheckCount{"b1", {1, 1}, 1, 1});
  const auto count = by(farm.ana, 3, tag(1, 1, 100));
  for (const auto& record : {farm_record, check, count}) farm.push(farm.ana, record);
  CHECK(farm.standing(farm_record).aside == aside_role);
  CHECK(farm.standing(check).aside == aside_role);
  CHECK(farm.standing(count).usual());
  CHECK(farm.store.bytes(farm_record.id) == farm_record.bytes);  // kept
  const auto by_lead = by(farm.lead, 1, ledger::CheckCount{"b1", {1, 1}, 1, 1}, "p3");
  const auto lead_sets = by(farm.lead, 2, settings, "p3");
  const auto by_manager = by(farm.manager, 1, settings, "p4");
  farm.push(farm.lead, by_lead);
  farm.push(farm.lead, lead_sets);
  farm.push(farm.manager, by_manager);
  CHECK(farm.standing(by_lead).usual());
  CHECK(farm.standing(lead_sets).aside == aside_role);
  CHECK(farm.standing(by_manager).usual());
}

TEST_CASE("settings that a pruner's phone relays wait for their owner") {
  Farm farm;
  ledger::FarmSettings settings;
  settings.name = "ours";
  const auto record = by(farm.manager, 1, settings, "p4");
  farm.push(farm.ana, record);
  CHECK(farm.standing(record).aside == aside_role);
  farm.push(farm.manager, record);
  CHECK(farm.standing(record).usual());
}

TEST_CASE("a pruner wrote in another's name, and withdrew what others had counted") {
  Farm farm;
  const auto bens = by(farm.ben, 1, tag(1, 1, 100), "p2");
  farm.push(farm.ben, bens);
  const auto in_his_name = by(farm.ana, 1, tag(2, 2, 100), "p2");
  const auto withdrawal = by(farm.ana, 2, ledger::Withdrawal{"x"}, "p1", bens.id);
  const auto own = by(farm.ana, 3, tag(3, 3, 100));
  const auto own_withdrawal = by(farm.ana, 4, ledger::Withdrawal{"slip"}, "p1", own.id);
  for (const auto& record : {in_his_name, withdrawal, own, own_withdrawal}) {
    farm.push(farm.ana, record);
  }
  CHECK(farm.standing(in_his_name).aside == aside_author);
  CHECK(farm.standing(withdrawal).aside == aside_not_own);
  CHECK(farm.standing(own_withdrawal).usual());
  // Under an invented device it is hearsay, which corrects nothing.
  const auto invented =
      record_of({7, 7}, 1, 0, ledger::Withdrawal{"x"}, "p2", bens.id);
  farm.push(farm.ana, invented);
  CHECK(farm.standing(invented).aside == aside_relayed);
  const auto leads = by(farm.lead, 1, ledger::Withdrawal{"twice"}, "p3", bens.id);
  farm.push(farm.lead, leads);
  CHECK(farm.standing(leads).usual());
}

TEST_CASE("a stamp years ahead pinned settings for good and moved all evidence") {
  Farm farm;
  const auto year_ms = 365LL * 86400000;
  ledger::Record record = by(farm.manager, 1, tag(1, 1, 1));
  record.stamp.at_ms = farm.wall_ms + year_ms;
  record.clock_ms = farm.wall_ms + year_ms;
  auto ahead = *ledger::write_record(record);
  farm.push(farm.manager, ahead);
  CHECK(farm.standing(ahead).at_ms == farm.wall_ms);
  // Its clock is right again; its stamps go on from where they were.
  record.id.sequence = 2;
  record.stamp.tick = 1;
  record.clock_ms = farm.wall_ms + 60000;
  farm.wall_ms += 3600000;
  ahead = *ledger::write_record(record);
  farm.push(farm.manager, ahead);
  CHECK(farm.standing(ahead).at_ms == record.clock_ms);
  // Ten minutes are nobody's fault.
  record = by(farm.ana, 1, tag(1, 1, 1));
  record.stamp.at_ms = farm.wall_ms + stamp_ahead_ms_max;
  farm.push(farm.ana, *ledger::write_record(record));
  CHECK(farm.side.standing_of(record.id).at_ms == 0);
  record.id.sequence = 2;
  record.stamp.at_ms += 1;
  record.clock_ms = record.stamp.at_ms;
  farm.push(farm.ana, *ledger::write_record(record));
  CHECK(farm.side.standing_of(record.id).at_ms > 0);
}

TEST_CASE("a stamp of before its device's own earlier records is ordered behind them") {
  Farm farm;
  farm.wall_ms += 7200000;
  farm.push(farm.ana, record_of(farm.ana.device, 1, 60, tag(1, 1, 1)));
  const auto backdated = record_of(farm.ana.device, 2, 0, tag(1, 1, 2));
  farm.push(farm.ana, backdated);
  CHECK(farm.standing(backdated).at_ms == monday_ms + 60 * 60000);
  HubSide again(farm.store);
  REQUIRE(again.open().ok());
  CHECK(again.standing_of(backdated.id).at_ms == monday_ms + 60 * 60000);
}

TEST_CASE("the manager's broom takes what one key brought, since a day, out of the numbers") {
  Farm farm;
  const auto before = by(farm.ana, 1, tag(1, 1, 1)), after = by(farm.ana, 2, tag(1, 1, 2));
  const auto bens = by(farm.ben, 1, tag(1, 1, 3), "p2");
  farm.push(farm.ana, before);
  farm.push(farm.ben, bens);
  farm.wall_ms += 1000;
  farm.push(farm.ana, after);
  CHECK(farm.side.set_aside_all_of(1, farm.wall_ms, farm.wall_ms) == 1);
  CHECK(farm.standing(before).usual());
  CHECK(farm.standing(after).aside == aside_removed);
  CHECK(farm.standing(bens).usual());
  CHECK(farm.store.bytes(after.id) == after.bytes);
}

TEST_CASE("what is removed goes from every phone, stays away, and leaves no gap") {
  Farm farm;
  const auto first = by(farm.ana, 1, tag(1, 1, 1)), second = by(farm.ana, 2, tag(1, 1, 2));
  farm.push(farm.ana, first);
  farm.push(farm.ana, second);
  CHECK(farm.side.remove(first.id));
  CHECK_FALSE(farm.side.remove(first.id));
  const HubReply reply = farm.ask(farm.ben, path_pull, write(PullRequest{{}, 200}));
  const auto envelope = read_envelope(reply.body);
  const auto pulled = read_pull_reply(*envelope);
  REQUIRE(pulled.ok());
  CHECK(pulled->gone == std::vector{first.id});
  CHECK(pulled->lines.size() == 1);
  CHECK(farm.push(farm.ana, first).head == 2);
  CHECK_FALSE(farm.store.bytes(first.id));
  Coverage have;
  have[farm.ana.device].add(1, 2);
  CHECK(farm.hello(farm.ana, have).missing.empty());
  HubSide again(farm.store);
  REQUIRE(again.open().ok());
  CHECK(again.head(farm.ana.device) == 2);
}

TEST_CASE("a withdrawal that waited for its owner counted once a manager was handed it in a file") {
  Farm farm;
  const auto bens = by(farm.ben, 1, tag(1, 1, 100), "p2");
  farm.push(farm.ben, bens);
  const auto forged = record_of({77, 77}, 1, 0, ledger::Withdrawal{"mine"}, "p3", bens.id);
  const auto of_the_lead = by(farm.lead, 1, ledger::Withdrawal{"twice"}, "p3", bens.id);
  for (const Phone* relay : {&farm.manager, &farm.lead, &farm.ana}) {
    farm.push(*relay, forged);
    CHECK(farm.standing(forged).aside == aside_relayed);
  }
  farm.push(farm.manager, of_the_lead);
  CHECK(farm.standing(of_the_lead).aside == aside_relayed);
  farm.push(farm.lead, of_the_lead);
  CHECK(farm.standing(of_the_lead).usual());
  SUBCASE("what a device corrects of its own counts as before") {
    const auto count = record_of({78, 78}, 1, 0, tag(2, 2, 50), "p2");
    const auto slip = record_of({78, 78}, 2, 0, ledger::Withdrawal{"slip"}, "p2", count.id);
    farm.push(farm.manager, count);
    farm.push(farm.manager, slip);
    CHECK(farm.standing(slip).aside.empty());
  }
}

TEST_CASE("a hub set back hears from relays what it had set aside") {
  Farm farm;
  ledger::FarmSettings settings;
  settings.name = "mine";
  const auto record = by(farm.ana, 1, settings);
  PushRequest push{farm.manager.device, {record.id}, {record.bytes}, {}};
  push.standings[0] = {Rank::hearsay, std::string(aside_role), 0};
  farm.ask(farm.manager, path_push, write(push));
  CHECK(farm.standing(record).aside == aside_role);
}

}  // TEST_SUITE
}  // namespace
}  // namespace nthtree::sync
