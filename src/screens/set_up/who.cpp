// SPDX-License-Identifier: Apache-2.0
// Who holds the phone. Reached by the name at the top of every screen: two taps to change.
#include <algorithm>

#include "screens/each_screen.h"
#include "screens/parts/frame.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

// Those who already used this phone come first, then pruners, leads, managers, by name.
std::vector<const orchard::Person*> in_order(const Frame& frame) {
  std::vector<const orchard::Person*> people;
  for (const auto& [id, known] : frame.season.people()) {
    if (known.active) people.push_back(&known);
  }
  const auto rank = [&](const orchard::Person* person) {
    const bool used = person->id == frame.session.person || frame.session.parked.count(person->id);
    return used ? -1 : static_cast<int>(person->role);
  };
  std::sort(people.begin(), people.end(), [&](const auto* a, const auto* b) {
    if (rank(a) != rank(b)) return rank(a) < rank(b);
    return a->name != b->name ? a->name < b->name : a->id < b->id;
  });
  return people;
}

// Once there is a manager, who is on the list is theirs to say.
bool may_add(const Frame& frame) {
  if (frame.session.reading) return false;
  const auto& people = frame.season.people();
  const orchard::Person* me = frame.me();
  if (me && me->role == orchard::Role::manager) return true;
  return std::none_of(people.begin(), people.end(), [](const auto& entry) {
    return entry.second.role == orchard::Role::manager;
  });
}

std::string detail_of(const Frame& frame, const orchard::Person& person) {
  const auto parked = frame.session.parked.find(person.id);
  if (parked != frame.session.parked.end() && parked->second.count) {
    return tr("who.unfinished", {{"n", whole(parked->second.count->spurs())}});
  }
  if (person.id == frame.session.person) {
    return role_text(person.role) + ", " + tr("who.now");
  }
  return role_text(person.role);
}

}  // namespace

void draw_who(Frame& frame) {
  open(frame, {.key = "who", .title = tr("who.title")});
  const auto people = in_order(frame);
  if (people.empty()) {
    if (empty_state(frame.ui, {.id = "nobody", .glyph = Glyph::person,
                               .text = tr("who.empty"), .action = tr("who.add")})) {
      frame.go(ScreenId::edit_person);
    }
    finish(frame);
    return;
  }
  small_print(frame.ui, tr("who.text"));
  int position = 0;
  for (const orchard::Person* person : people) {
    if (choice_row(frame.ui, {.id = "person/" + person->id,
                              .label = person_text(frame.season, person->id),
                              .detail = detail_of(frame, *person),
                              .current = person->id == frame.session.person,
                              .glyph = Glyph::person,
                              .position = ++position,
                              .set_size = static_cast<int>(people.size())})) {
      frame.want(ChoosePerson{person->id});
    }
  }
  if (!may_add(frame)) {
    small_print(frame.ui, tr(frame.session.reading ? "opening.title" : "who.not_listed"));
  } else if (button(frame.ui, {.id = "add", .label = tr("who.add"), .kind = Kind::quiet,
                        .glyph = Glyph::plus})) {
    frame.go(ScreenId::edit_person);
  }
  finish(frame);
}

}  // namespace nthtree::screens
