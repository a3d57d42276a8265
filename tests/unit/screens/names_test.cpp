// SPDX-License-Identifier: Apache-2.0
//
// What is heard is unambiguous: no two controls that can be seen at once, on any screen in any
// language, are called the same, unless the list, dialog or group that holds them tells them apart.
#include <doctest/doctest.h>

#include <map>
#include <set>

#include "unit/screens/stage.h"
#include "widgets/language.h"

namespace {

using namespace nthtree;
using namespace nthtree::screens;
using widgets::Control;
using widgets::Role;

bool acts(const Control& control) {
  static const std::set<Role> roles = {Role::button,  Role::link, Role::toggle, Role::radio,
                                       Role::tab,     Role::textbox, Role::date,
                                       Role::spinbutton};
  return roles.count(control.role) != 0;
}

// What a person has to tell two controls apart by: role, name and the line under the name, and for
// one of a set (radio, tab) the name of the set, which stands above it. The group that a button is in
// does not count: "Throw away" beside a keypad's "Throw away" is mistaken for it.
std::string said_of(const std::vector<Control>& all, const Control& control) {
  std::string said = std::to_string(static_cast<int>(control.role)) + "|" + control.label + "|" +
                     control.hint;
  if (control.role != Role::radio && control.role != Role::tab) return said;
  for (int at = control.parent; at >= 0; at = all[static_cast<std::size_t>(at)].parent) {
    said += "|" + all[static_cast<std::size_t>(at)].label;
  }
  return said;
}

bool within_dialog(const std::vector<Control>& all, const Control& control) {
  for (int at = control.parent; at >= 0; at = all[static_cast<std::size_t>(at)].parent) {
    if (all[static_cast<std::size_t>(at)].role == Role::dialog) return true;
  }
  return false;
}

std::set<std::string> doubled(const std::vector<Control>& all) {
  std::map<std::string, std::set<std::string>> ids;
  bool modal = false;  // while a question is open nothing but its answers can be reached
  for (const Control& control : all) modal = modal || control.role == Role::dialog;
  for (const Control& control : all) {
    if (acts(control) && (!modal || within_dialog(all, control))) ids[said_of(all, control)].insert(control.id);
  }
  std::set<std::string> names;
  for (const auto& [said, of] : ids) {
    if (of.size() > 1) names.insert(said + " (" + *of.begin() + ", " + *of.rbegin() + ")");
  }
  return names;
}

}  // namespace

TEST_SUITE("screens: names") {
  TEST_CASE("two controls of one name are found") {
    const Control rub{.id = "keys/b", .role = Role::button, .label = "Borrar"};
    const Control away{.id = "throw", .role = Role::button, .label = "Borrar"};
    CHECK(doubled({rub, away}).size() == 1);
    CHECK(doubled({rub, rub}).empty());  // the same control, mirrored once a frame
    Control one{.id = "a/0", .role = Role::radio, .label = "No", .parent = 0};
    Control two{.id = "b/0", .role = Role::radio, .label = "No", .parent = 1};
    const Control first{.id = "a", .role = Role::radiogroup, .label = "Buzz"};
    const Control second{.id = "b", .role = Role::radiogroup, .label = "Practice"};
    CHECK(doubled({first, second, one, two}).empty());
    two.parent = 0;
    CHECK(doubled({first, second, one, two}).size() == 1);
  }

  TEST_CASE("no two controls of a screen are called the same, in any language") {
    for (const std::string& language : stage::languages()) {
      widgets::choose_language(language);
      AdviceCache cache;
      for (const bool wide : {false, true}) {
        widgets::HeadlessFrame frame(
            stage::fonts(), wide ? widgets::HeadlessSetting{.width = 844, .height = 390}
                                 : widgets::HeadlessSetting{.width = 390, .height = 844});
        for (const stage::Scene& scene : stage::scenes()) {
          cache.forget();
          frame.draw([&](widgets::Ui& ui) { draw(ui, *scene.season, scene.session, cache); });
          for (const std::string& name : doubled(frame.controls())) {
            FAIL_CHECK(scene.name << " in " << language << ": " << name);
          }
        }
      }
    }
    widgets::choose_language("en");
  }
}
