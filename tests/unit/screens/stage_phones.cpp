// SPDX-License-Identifier: Apache-2.0
#include "unit/screens/stage.h"

namespace nthtree::screens::stage {
namespace {

constexpr std::int64_t hour_ms = 3600000;

// Invented: the office's own, a shared tablet, a pruner's, and one that was lost.
Phones four() {
  const std::int64_t now_ms = thursday_ms();
  using orchard::Role;
  Phones phones;
  phones.state = Phones::State::told;
  phones.own = 1;
  phones.list = {
      {1, "office", "m1", Role::manager, now_ms - 400 * hour_ms, 0, now_ms - hour_ms, 212, 0, 0},
      {2, "shed tablet", "", Role::lead, now_ms - 390 * hour_ms, 0, now_ms - 90000, 1843, 12, 3},
      {3, "", "p3", Role::pruner, now_ms - 50 * hour_ms, 0, 0, 0, 0, 0},
      {4, "blue phone", "p4", Role::pruner, now_ms - 300 * hour_ms, now_ms - 26 * hour_ms,
       now_ms - 30 * hour_ms, 96, 0, 0}};
  return phones;
}

Scene phones_scene(const std::string& name, ScreenId screen, const std::string& record = "") {
  Scene made{name, &farm(), at(screen, "m1", "b1")};
  made.session.phones = four();
  made.session.stack.back().record = record;
  return made;
}

void add_locks(std::vector<Scene>& all) {
  Scene unlock{"unlock", &farm(), at(ScreenId::unlock, "", "b1")};
  unlock.session.stack = {{ScreenId::who, {}, {}, {}, {}}, {ScreenId::unlock, {}, "l1", {}, {}}};
  unlock.session.locks.pins = unlock.session.locks.phones = {"l1"};
  unlock.session.fields["pin"] = "258";
  all.push_back(unlock);
  unlock.name = "unlock_wait";
  unlock.session.locks.wrong = true;
  unlock.session.locks.until_ms = thursday_ms() + 8 * 60000;
  all.push_back(unlock);
  Scene pin{"pin", &farm(), at(ScreenId::unlock, "l1", "b1")};
  pin.session.fields["pin_differs"] = "1";
  all.push_back(pin);
  Scene on{"pin_on", &farm(), at(ScreenId::unlock, "l1", "b1")};
  on.session.locks.pins = {"l1"};
  on.session.locks.has_phone_lock = true;
  all.push_back(on);
}

}  // namespace

void add_phones(std::vector<Scene>& all) {
  Scene list = phones_scene("phones", ScreenId::phones);
  all.push_back(list);
  list.name = "phones_backup_old";
  list.session.phones.backup_old = true;
  list.session.phones.backup_ms = thursday_ms() - 80 * hour_ms;
  all.push_back(list);
  for (const char* trouble : {"alone", "not_manager", "no_answer", "last_manager", "quota"}) {
    Scene refused{std::string("phones_") + trouble, &farm(), at(ScreenId::phones, "m1", "b1")};
    refused.session.phones.state = Phones::State::refused;
    refused.session.phones.trouble = trouble;
    all.push_back(refused);
  }
  for (const char* id : {"1", "2", "4"}) {
    all.push_back(phones_scene(std::string("edit_phone_") + id, ScreenId::edit_phone, id));
  }
  for (const char* question : {"withdraw", "sweep"}) {
    Scene asks = phones_scene(std::string("edit_phone_") + question, ScreenId::edit_phone, "2");
    asks.session.asking = question;
    asks.session.fields["phone/since"] = "2026-02-03";
    all.push_back(asks);
  }
  all.push_back(phones_scene("phone_code", ScreenId::edit_phone));
  Scene code = phones_scene("phone_code_made", ScreenId::edit_phone);
  code.session.phones.code = "7KQ2M-0XWGT";
  code.session.phones.code_until_ms = thursday_ms() + 10 * 60000;
  all.push_back(code);
  add_locks(all);
  Scene forget{"edit_person_forget", &farm(), at(ScreenId::edit_person, "m1", "b1")};
  forget.session.stack.back().person = "l1";
  forget.session.locks.pins = {"l1"};
  all.push_back(forget);
  forget.name = "edit_person_forget_ask";
  forget.session.asking = "forget";
  all.push_back(forget);
  all.push_back({"settings_made", &farm(), at(ScreenId::settings_made, "m1", "b1")});
  Scene setting{"one_setting", &farm(), at(ScreenId::settings_made, "m1", "b1")};
  setting.session.stack.back().record = farm().settings_history().front().position.id.text();
  all.push_back(setting);
}

}  // namespace nthtree::screens::stage
