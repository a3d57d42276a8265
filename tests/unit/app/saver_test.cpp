// SPDX-License-Identifier: Apache-2.0
//
// What a saved record says of who wrote it, where and when; and what becomes of a count that the
// ledger will not take: it stays open where it was counted, says why, and holds up nothing.
#include "app/saver.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <set>

#include "support/sync_driver.h"
#include "unit/app/phone.h"

using namespace nthtree;
using namespace nthtree::app;
using screens::CountPurpose;
using screens::SaveRecords;
using screens::SaveState;

namespace {

// A phone without screens: a farm, somebody with a count of five open, and the saver.
struct Hand {
  PlatformNative platform;
  Context context{platform};
  Saver saver{context};

  Hand() {
    put_season(platform);
    for (const auto& [key, json] : platform.records) {
      if (auto record = context.client.load_record(json)) context.season.apply(*record);
    }
    context.loaded = true;
    context.client.start({7, 7}, context.moment());
    context.take(screens::ChoosePerson{"p1"});
    context.take(screens::ChooseBlock{"b1"});
    context.take(screens::OpenCount{CountPurpose::tag, "b1", {1, 2}});
    context.take(screens::Taps{1, 5});
  }
  SaveRecords count_of(int spurs) {
    SaveRecords wish;
    wish.bodies = {ledger::TagCount{"b1", {1, 2}, spurs, {}, {}, 0}};
    wish.from = SaveRecords::From::count;
    return wish;
  }
  // What the client wants to send is answered, and what it wants to keep is on the disk.
  void talk_to(test::HubOfTest& hub) {
    for (auto actions = context.client.take_actions(); !actions.empty();
         actions = context.client.take_actions()) {
      for (const sync::Action& action : actions) {
        if (const auto* send = std::get_if<sync::Send>(&action)) {
          const auto reply = hub.answer(send->path, send->body, send->bearer);
          context.client.response(send->request, reply.status, reply.body, context.moment());
        } else if (const auto* change = std::get_if<sync::StoreChange>(&action)) {
          context.client.store_done(change->store, true, context.moment());
        }
      }
    }
  }
  const screens::Session& session() const { return context.session(); }
};

// The last moment that the farm's records know of.
std::int64_t newest_ms(const PlatformNative& platform) {
  std::int64_t newest = 0;
  for (const auto& [key, json] : platform.records) {
    if (const auto record = ledger::read_record(json)) {
      newest = std::max(newest, record->stamp.at_ms);
    }
  }
  return newest;
}

// A phone of that farm, an hour after its last record; what this phone writes is read from its disk.
struct FarmPhone {
  PlatformNative platform;
  std::set<std::pair<std::string, std::int64_t>> of_others;
  std::optional<Phone> phone;

  FarmPhone() {
    put_season(platform);
    for (const auto& [key, json] : platform.records) of_others.insert(key);
    platform.now_ms = newest_ms(platform) + 3600000;
    phone.emplace(platform);
  }
  std::string someone(orchard::Role role) const {
    for (const auto& [id, person] : phone->app.season().people()) {
      if (person.role == role) return id;
    }
    return {};
  }
  void becomes(const std::string& person) {
    if (phone->here() != ScreenId::who) phone->tap_id("person");
    phone->tap_id("person/" + person);
    if (phone->here() == ScreenId::choose_block) phone->tap_id("block/b1");
    REQUIRE(phone->here() == ScreenId::home);
  }
  void count(int taps) {
    phone->tap_id("count");
    phone->tap_id("pad", taps);
    phone->save_count();
  }
  // In the order of their sequence.
  std::vector<ledger::Record> written() const {
    std::vector<ledger::Record> records;
    for (const auto& [key, json] : platform.records) {
      auto record = ledger::read_record(json);
      REQUIRE(record.ok());
      if (of_others.count(key) == 0) records.push_back(*record);
    }
    return records;
  }
};

}  // namespace

TEST_SUITE("app") {
  TEST_CASE("a saved count had lost who counted it") {
    FarmPhone farm;
    const std::string pruner = farm.someone(orchard::Role::pruner);
    farm.becomes(pruner);
    farm.count(12);
    const auto records = farm.written();
    REQUIRE(records.size() == 1);
    const ledger::Record& record = records.front();
    CHECK(record.author == pruner);
    CHECK(record.id.sequence == 1);
    CHECK(record.clock_ms == farm.platform.now_ms);
    CHECK(record.stamp.at_ms == farm.platform.now_ms);
    REQUIRE(std::holds_alternative<ledger::TagCount>(record.body));
    CHECK(std::get<ledger::TagCount>(record.body).spurs == 12);
    const auto& tags = farm.phone->app.season().block("b1")->tag_counts;
    CHECK(tags.back().author == pruner);  // and the season folded it as the disk holds it
    CHECK(tags.back().position.id == record.id);
  }

  TEST_CASE("on a shared phone each record carries its own author, one device, and its moment") {
    FarmPhone farm;
    const std::string pruner = farm.someone(orchard::Role::pruner);
    const std::string lead = farm.someone(orchard::Role::lead);
    std::vector<std::pair<std::string, std::int64_t>> done;  // by whom, when
    const auto has = [&](const std::string& person) {
      done.push_back({person, farm.platform.now_ms});
      CHECK(farm.phone->app.session().last_save.state == SaveState::on_phone);
      farm.platform.advance(90000);
    };
    farm.becomes(pruner);
    farm.count(9);
    has(pruner);

    farm.becomes(lead);
    farm.phone->tap_id("person/" + pruner);
    farm.phone->tap_id("tell");
    farm.phone->type(words("advice.remark"), "Hanging wood first.");
    farm.phone->tap_id("told");
    has(lead);
    farm.phone->tap_id("person");
    farm.phone.emplace(farm.platform);  // the browser killed the tab meanwhile
    farm.becomes(pruner);
    farm.count(11);
    has(pruner);

    const auto records = farm.written();
    REQUIRE(records.size() == done.size());
    for (std::size_t i = 0; i < done.size(); ++i) {
      CAPTURE(records[i].bytes);
      CHECK(records[i].author == done[i].first);
      CHECK(records[i].clock_ms == done[i].second);
      CHECK(records[i].stamp.at_ms == done[i].second);
      CHECK(records[i].id == ledger::RecordId{records.front().id.device, i + 1});
    }
    REQUIRE(std::holds_alternative<ledger::Advice>(records[1].body));
    CHECK(std::get<ledger::Advice>(records[1].body).note == "Hanging wood first.");
  }

  TEST_CASE("a count that the ledger refused had closed its draft, and trying again spun for ever") {
    Hand hand;
    hand.saver.save(hand.count_of(6000));  // 5,000 is the most
    REQUIRE(hand.session().drafts.count.has_value());
    CHECK(hand.session().drafts.count->spurs() == 5);
    CHECK(hand.session().here().screen == screens::ScreenId::count);
    CHECK(hand.session().last_save.state == SaveState::refused);
    CHECK(hand.session().last_save.trouble ==
          "spurs: 6000 is out of range: 0 to 5000 is allowed (out_of_range)");
    CHECK_FALSE(hand.saver.waits());
    hand.saver.try_again();
    CHECK(hand.session().last_save.state == SaveState::refused);

    SUBCASE("and the next one is taken under the same number, and closes it") {
      hand.saver.save(hand.count_of(5));
      CHECK(hand.saver.waits());
      CHECK_FALSE(hand.session().drafts.count.has_value());
      CHECK(hand.session().here().screen == screens::ScreenId::verdict);
      REQUIRE(hand.session().last_save.record.has_value());
      CHECK(hand.session().last_save.record->sequence == 1);
      CHECK(hand.session().last_save.state == SaveState::writing);
    }
    SUBCASE("and what it says goes with the screen") {
      hand.context.take(screens::Back{});
      CHECK(hand.session().last_save.state == SaveState::none);
      CHECK(hand.session().drafts.count->spurs() == 5);
    }
  }

  TEST_CASE("a pruner's app saved what only a manager may set, and the hub set it aside") {
    Hand hand;
    const auto refused = [&](SaveRecords wish, const char* why) {
      hand.saver.save(wish);
      CHECK(hand.session().last_save.state == SaveState::refused);
      CHECK(hand.session().last_save.trouble == why);
      CHECK_FALSE(hand.saver.waits());
    };
    const orchard::Person me = *hand.context.season.person("p1");
    orchard::Person promoted = me;
    promoted.role = orchard::Role::manager;
    const ledger::CheckCount check{"b1", {1, 2}, 120, 100};
    refused({{ledger::PersonSettings{promoted}}, {}, ""}, "role_person");
    refused({{check}, {}, ""}, "role_person");
    refused({{ledger::TagCount{"b1", {1, 2}, 5, {}, {}, 0}, check}, {}, ""}, "role_person");
    SUBCASE("nor corrects what others counted") {
      const auto& tags = hand.context.season.block("b1")->tag_counts;
      const auto others = std::find_if(tags.begin(), tags.end(),
                                       [](const auto& tag) { return tag.author != "p1"; });
      REQUIRE(others != tags.end());
      refused({{ledger::Withdrawal{}}, others->position.id, ""}, "role_person");
    }
    SUBCASE("a count of one's own is saved") {
      hand.saver.save(hand.count_of(5));
      CHECK(hand.saver.waits());
    }
    SUBCASE("the lead re-counts, and sets nothing") {
      hand.context.take(screens::ChoosePerson{"l1"});
      refused({{ledger::PersonSettings{promoted}}, {}, ""}, "role_person");
      hand.saver.save({{check}, {}, ""});
      CHECK(hand.saver.waits());
    }
  }

  TEST_CASE("a phone with a pruner's key saved as its lead, and the hub set it aside") {
    test::HubOfTest hub;
    hub.sender.role = orchard::Role::pruner;
    Hand hand;
    hand.context.take(screens::ChoosePerson{"l1"});
    hand.context.client.join("ABCDE-FGHJK", "tablet", hand.context.moment());
    hand.talk_to(hub);
    CHECK(hand.context.client.status().key_role == orchard::Role::pruner);
    hand.saver.save({{ledger::CheckCount{"b1", {1, 2}, 120, 100}}, {}, ""});
    CHECK(hand.session().last_save.trouble == "role_phone");
    hub.sender.role = orchard::Role::lead;
    hand.platform.now_ms += 120000;
    hand.context.client.tick(hand.context.moment());
    hand.talk_to(hub);
    hand.saver.save({{ledger::CheckCount{"b1", {1, 2}, 120, 100}}, {}, ""});
    CHECK(hand.saver.waits());
  }

  TEST_CASE("of two records that belong together none is kept where the second is refused") {
    Hand hand;
    SaveRecords wish = hand.count_of(5);
    wish.bodies.push_back(ledger::WorkSpell{"b1", -1, 10});
    hand.saver.save(wish);
    CHECK(hand.session().last_save.state == SaveState::refused);
    CHECK_FALSE(hand.saver.waits());
    hand.saver.save(hand.count_of(5));
    CHECK(hand.session().last_save.record->sequence == 1);
  }
}
