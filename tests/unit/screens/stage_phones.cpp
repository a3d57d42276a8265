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

}  // namespace

void add_phones(std::vector<Scene>& all) {
  all.push_back(phones_scene("phones", ScreenId::phones));
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
  all.push_back(phones_scene("phone_code", ScreenId::phone_code));
  Scene code = phones_scene("phone_code_made", ScreenId::phone_code);
  code.session.phones.code = "7KQ2M-0XWGT";
  code.session.phones.code_until_ms = thursday_ms() + 10 * 60000;
  all.push_back(code);
}

}  // namespace nthtree::screens::stage
