// SPDX-License-Identifier: Apache-2.0
//
// What store.h promises, asked of every store that this machine has.
#include "hub/store.h"

#include "store_of_test.h"
#include "support/records.h"
#include "sync/hub_side.h"

namespace nthtree::hub {
namespace {

using test::for_each_store;
using test::phone_a;
using test::phone_b;
using test::StoreOfTest;

void tell(Store& store, std::uint64_t arrival, const ledger::RecordId& id, const char* bytes) {
  store.put(arrival, id, bytes, {}, {1, "tablet", 5});
}

TEST_SUITE("hub") {

TEST_CASE("whoever reads beside the writer sees one moment, and can change nothing") {
  for_each_store([](StoreOfTest& place) {
    auto store = place.open();
    auto beside = store->open_again();
    REQUIRE(beside.ok());
    Store& reader = **beside;
    store->begin();
    tell(*store, 1, {phone_a, 1}, "one");
    reader.begin_to_read();
    CHECK(reader.page(0, 10, 1000).empty());  // not committed, and waits for nobody
    REQUIRE(store->commit().ok());
    CHECK(reader.page(0, 10, 1000).empty());
    CHECK(reader.last_arrival() == 0);
    REQUIRE(reader.commit().ok());
    reader.begin_to_read();
    CHECK(reader.page(0, 10, 1000).size() == 1);
    CHECK(reader.last_arrival() == 1);
    REQUIRE(reader.commit().ok());
    reader.begin_to_read();
    reader.set_epoch("another");
    CHECK(!reader.commit().ok());
    reader.begin_to_read();
    CHECK(reader.epoch() == store->epoch());
    CHECK(reader.commit().ok());
  });
}

TEST_CASE("what is committed is there after opening again, and what is not is not") {
  for_each_store([](StoreOfTest& place) {
    std::string epoch;
    {
      auto store = place.open();
      epoch = store->epoch();
      CHECK(epoch.size() == 32);
      store->begin();
      tell(*store, 1, {phone_a, 1}, "one");
      tell(*store, 2, {phone_b, 7}, "two");
      REQUIRE(store->commit().ok());
      store->begin();
      tell(*store, 3, {phone_a, 2}, "three");
      store->rollback();
    }
    auto store = place.open();
    CHECK(store->epoch() == epoch);
    CHECK(store->last_arrival() == 2);
    CHECK(store->bytes({phone_a, 1}) == "one");
    CHECK(store->bytes({phone_b, 7}) == "two");
    CHECK_FALSE(store->bytes({phone_a, 2}));
    const auto page = store->page(0, 10, 1000);
    REQUIRE(page.size() == 2);
    CHECK(page[1].id == ledger::RecordId{phone_b, 7});
    CHECK(store->page(1, 10, 1000).size() == 1);
    CHECK(store->page(0, 1, 1000).size() == 1);
    CHECK(store->page(0, 10, 1).size() == 1);  // at least one, however long
  });
}

TEST_CASE("a replaced record gets a new arrival, a dropped one leaves its number for good") {
  for_each_store([](StoreOfTest& place) {
    {
      auto store = place.open();
      store->begin();
      tell(*store, 1, {phone_a, 1}, "one");
      tell(*store, 2, {phone_a, 1}, "other");
      tell(*store, 3, {phone_a, 3}, "three");
      store->drop({phone_a, 3});
      REQUIRE(store->commit().ok());
      CHECK(store->last_arrival() == 3);
      CHECK(store->page(0, 10, 1000).size() == 1);
      CHECK(store->bytes({phone_a, 1}) == "other");
    }
    CHECK(place.open()->last_arrival() == 3);
  });
}

TEST_CASE("an arrival is known by the start that gave it out") {
  for_each_store([](StoreOfTest& place) {
    auto store = place.open();
    store->begin();
    store->note_opening();
    tell(*store, 1, {phone_a, 1}, "one");
    const std::string first = store->opening_of(1);
    store->note_opening();
    tell(*store, 2, {phone_a, 2}, "two");
    REQUIRE(store->commit().ok());
    CHECK(first.size() == 32);
    CHECK(store->opening_of(1) == first);
    CHECK(store->opening_of(2) != first);
    CHECK(store->opening_of(0).empty());
  });
}

TEST_CASE("a join code works once and not after its time") {
  for_each_store([](StoreOfTest& place) {
    auto store = place.open();
    const auto code = sync::sha256("A"), late = sync::sha256("B");
    store->begin();
    CodeFor who;
    store->add_code(code, 1000, {orchard::Role::lead, "p3", "tablet 3"});
    store->add_code(late, 1000, {});
    CHECK(store->codes(999).size() == 2);
    CHECK(store->codes(1000).empty());
    CHECK(store->use_code(code, 999, who) == CodeUse::taken);
    CHECK(who.role == orchard::Role::lead);
    CHECK(who.person == "p3");
    CHECK(who.name == "tablet 3");
    CHECK(store->codes(999).size() == 1);
    CHECK(store->use_code(code, 999, who) == CodeUse::used);
    CHECK(store->use_code(code, 2000, who) == CodeUse::used);
    CHECK(store->use_code(late, 1000, who) == CodeUse::expired);
    CHECK(store->use_code(sync::sha256("C"), 1, who) == CodeUse::unknown);
    REQUIRE(store->commit().ok());
  });
}

TEST_CASE("keys are listed and withdrawn, and only their digest is in the file") {
  for_each_store([](StoreOfTest& place) {
    auto store = place.open();
    store->begin();
    store->add_key(sync::sha256("secret-of-a-phone"), "tablet", {orchard::Role::lead, "p3", ""}, 7);
    REQUIRE(store->commit().ok());
    const auto only = [&] {
      const auto keys = store->keys();
      REQUIRE(keys.ok());
      REQUIRE(keys->size() == 1);
      return keys->front();
    };
    CHECK(only().hash == sync::sha256("secret-of-a-phone"));
    CHECK(only().withdrawn_ms == 0);
    CHECK(only().role == orchard::Role::lead);
    CHECK(only().person == "p3");
    store->begin();
    CHECK(store->change_key(only().id, "Ana's", {orchard::Role::pruner, "p4", ""}));
    CHECK_FALSE(store->change_key(99, "x", {}));
    CHECK(store->withdraw_key(only().id, 9));
    CHECK_FALSE(store->withdraw_key(99, 9));
    REQUIRE(store->commit().ok());
    CHECK(only().withdrawn_ms == 9);
    CHECK(only().name == "Ana's");
    CHECK(only().role == orchard::Role::pruner);
  });
}

TEST_CASE("two phones of one name are told apart by what they sent last") {
  for_each_store([](StoreOfTest& place) {
    auto store = place.open();
    store->begin();
    store->put(1, {phone_a, 1}, "{\"n\":1}", {}, {1, "phone #1", 50});
    store->put(2, {phone_a, 2}, "{\"n\":2}", {}, {1, "phone #1", 60});
    store->put(3, {phone_b, 1}, "{\"n\":3}", {}, {2, "phone #2", 70});
    REQUIRE(store->commit().ok());
    CHECK(store->last_record_of(1) == "{\"n\":2}");
    CHECK(store->last_record_of(2) == "{\"n\":3}");
    CHECK_FALSE(store->last_record_of(3));
    CHECK(store->uses_of_keys()[1].last_ms == 60);
    CHECK(store->uses_of_keys()[1].records == 2);
    CHECK(store->uses_of_keys()[2].bytes == 7);
  });
}

TEST_CASE("how a record stands, whose a device is and what was removed are kept") {
  for_each_store([](StoreOfTest& place) {
    {
      auto store = place.open();
      store->begin();
      store->put(1, {phone_a, 1}, "one", {sync::Rank::hearsay, "role", 77}, {3, "tablet #3", 5});
      store->put(2, {phone_a, 2}, "two", {}, {3, "tablet #3", 6});
      store->remove(3, {phone_a, 2});
      store->set_owner(phone_b, 4);
      store->set_aside({phone_a, 9}, "garbage", "why", {3, "tablet #3", 7});
      REQUIRE(store->commit().ok());
    }
    auto store = place.open();
    store->each_held([&](const sync::HeldRecord& held) {
      CHECK(held.id == ledger::RecordId{phone_a, 1});
      CHECK(held.standing == sync::Standing{sync::Rank::hearsay, "role", 77});
      CHECK(held.sender == 3);
      CHECK(held.received_ms == 5);
    });
    store->each_removed(
        [&](const ledger::RecordId& id) { CHECK(id == ledger::RecordId{phone_a, 2}); });
    store->each_owner([&](const ledger::DeviceKey& device, std::int64_t key) {
      CHECK(device == phone_b);
      CHECK(key == 4);
    });
    store->each_set_aside([&](const ledger::RecordId& id, std::int64_t key) {
      CHECK(id == ledger::RecordId{phone_a, 9});
      CHECK(key == 3);
    });
    const auto page = store->page(0, 10, 1000);
    REQUIRE(page.size() == 2);
    CHECK(page[0].standing == sync::Standing{sync::Rank::hearsay, "role", 77});
    CHECK(page[1].bytes.empty());
    CHECK(page[1].arrival == 3);
    CHECK_FALSE(store->bytes({phone_a, 2}));
    CHECK(store->last_arrival() == 3);
  });
}

TEST_CASE("texts come back as they were, U+0000 and what is no UTF-8 too") {
  for_each_store([](StoreOfTest& place) {
    const std::string odd("a\0b\xff\xc3", 5);
    {
      auto store = place.open();
      store->begin();
      store->add_key(sync::sha256("k"), odd, {orchard::Role::lead, odd, ""}, 7);
      store->put(1, {phone_a, 1}, odd, {sync::Rank::owned, odd, 0}, {1, odd, 5});
      store->set_aside({phone_a, 9}, odd, odd, {1, odd, 7});
      store->set_aside({phone_a, 9}, odd, odd, {1, odd, 8});  // the same again
      REQUIRE(store->commit().ok());
    }
    auto store = place.open();
    CHECK(store->keys()->at(0).name == odd);
    CHECK(store->keys()->at(0).person == odd);
    CHECK(store->bytes({phone_a, 1}) == odd);
    const auto page = store->page(0, 1, 1000);
    CHECK(page.at(0).standing.aside == odd);
    const auto apart = store->set_aside_list();
    REQUIRE(apart.size() == 1);
    CHECK(apart[0].bytes == odd);
    CHECK(apart[0].reason == odd);
    CHECK(apart[0].carrier == odd);
  });
}

TEST_CASE("many are read at once, with what this transaction has put") {
  for_each_store([](StoreOfTest& place) {
    auto store = place.open();
    store->begin();
    tell(*store, 1, {phone_a, 1}, "one");
    tell(*store, 2, {phone_a, 2}, "two");
    REQUIRE(store->commit().ok());
    store->begin();
    tell(*store, 3, {phone_a, 2}, "other");
    tell(*store, 4, {phone_b, 1}, "three");
    store->expect({{phone_a, 1}, {phone_a, 2}});
    CHECK(store->bytes({phone_a, 1}) == "one");
    CHECK(store->bytes({phone_a, 2}) == "other");
    const auto many = store->bytes_of({{phone_a, 1}, {phone_a, 2}, {phone_b, 1}, {phone_b, 2}});
    CHECK(many.size() == 3);
    CHECK(many.at({phone_b, 1}) == "three");
    std::map<ledger::RecordId, std::string> listed;
    store->each_held([&](const sync::HeldRecord& held) {
      listed[held.id] = std::string(held.bytes);
    });
    CHECK(listed == many);
    REQUIRE(store->commit().ok());
    CHECK(store->bytes({phone_a, 2}) == "other");
    CHECK(store->page(0, 10, 1000).size() == 3);
  });
}

TEST_CASE("keys, codes and marks of a backup that another process changes are noticed") {
  for_each_store([](StoreOfTest& place) {
    auto store = place.open(), other = place.open();
    const auto before = store->office_version();
    CHECK(store->office_version() == before);
    other->begin();
    other->add_code(sync::sha256("A"), 1, {});
    REQUIRE(other->commit().ok());
    CHECK(store->office_version() != before);
    other->begin();
    other->set_backed_up({{phone_a, 3}});
    REQUIRE(other->commit().ok());
    CHECK(store->backed_up(phone_a) == 3);
    CHECK(store->backed_up(phone_b) == 0);
  });
}

TEST_CASE("what each key sent is told by the hour, records and garbage") {
  for_each_store([](StoreOfTest& place) {
    auto store = place.open();
    constexpr std::int64_t hour = 3600000;
    store->begin();
    store->put(1, {phone_a, 1}, "12345", {}, {1, "t", hour + 5});
    store->put(2, {phone_a, 2}, "123", {}, {1, "t", hour + 6});
    store->put(3, {phone_b, 1}, "1", {}, {2, "u", 3 * hour});
    store->set_aside({phone_b, 9}, "1234567", "why", {2, "u", 3 * hour + 1});
    REQUIRE(store->commit().ok());
    const auto hours = store->hours_of_keys(hour);
    REQUIRE(hours.size() == 2);
    CHECK(hours[0].key == 1);
    CHECK(hours[0].hour_ms == hour);
    CHECK(hours[0].records == 2);
    CHECK(hours[0].bytes == 8);
    CHECK(hours[1].records == 1);
    CHECK(hours[1].garbage == 1);
    CHECK(hours[1].bytes == 8);
    CHECK(store->hours_of_keys(3 * hour).size() == 1);
  });
}

}  // TEST_SUITE
}  // namespace
}  // namespace nthtree::hub
