// SPDX-License-Identifier: Apache-2.0
// One person: name, what they do, whether they still work here.
#include <set>

#include "screens/each_screen.h"
#include "screens/parts/form.h"
#include "screens/parts/frame.h"
#include "screens/parts/new_id.h"
#include "screens/parts/parts.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

// The gangs there are, so that nobody writes one of them a second way.
std::string gangs_hint(const Frame& frame) {
  std::set<std::string> gangs;
  for (const auto& [id, person] : frame.season.people()) {
    if (!person.gang.empty()) gangs.insert(person.gang);
  }
  std::string list;
  for (const std::string& gang : gangs) list += (list.empty() ? "" : ", ") + gang;
  return list.empty() ? tr("edit.person.gang_hint") : tr("edit.person.gangs", {{"list", list}});
}

// What a manager can do for somebody who forgot their PIN, or wants an old name gone.
void behind_the_name(Frame& frame, const orchard::Person& person) {
  const orchard::Person* me = frame.me();
  if (!me || me->role != orchard::Role::manager) return;
  if (person.id != me->id && frame.session.locks.has(person.id) &&
      button(frame.ui, {.id = "forget_pin", .label = tr("edit.person.pin_gone"),
                        .kind = Kind::quiet})) {
    frame.want(ForgetPin{person.id});
  }
  heading(frame.ui, tr("edit.person.forget"));
  small_print(frame.ui, tr("edit.person.forget_text"));
  if (button(frame.ui, {.id = "forget", .label = tr("edit.person.forget_do"),
                        .kind = Kind::danger})) {
    frame.want(Ask{"forget"});
  }
}

}  // namespace

void draw_edit_person(Frame& frame) {
  const std::string id = frame.session.here().person;
  const orchard::Person* known = id.empty() ? nullptr : frame.season.person(id);
  open(frame, {.key = "edit_person/" + id,
               .title = known ? tr("edit.person.title") : tr("edit.person.new"),
               .actions = {{.id = "keep", .label = keep_label(frame, tr("edit.person.keep"))}}});
  Form form(frame);
  orchard::Person person = known ? *known : orchard::Person{};
  const std::string key = "person/" + id + "/";
  person.name = form.text({.id = key + "name", .label = tr("edit.name"), .value = person.name,
                           .letters_max = 40});
  const bool renamed = !known || person.name != known->name;
  if (renamed && bearers_of(frame.season, person.name) > 0) {
    notice(frame.ui, {.id = "same_name", .tone = Tone::caution,
                      .text = tr("edit.person.same", {{"name", person.name}})});
  }
  person.role = static_cast<orchard::Role>(
      form.list(key + "role", tr("edit.person.role"),
                {tr("role.pruner"), tr("role.lead"), tr("role.manager")},
                static_cast<int>(person.role)));
  person.gang = form.text({.id = key + "gang", .label = tr("edit.person.gang"),
                           .value = person.gang, .letters_max = 40, .optional = true,
                           .hint = gangs_hint(frame)});
  if (known) person.active = form.flag(key + "active", tr("edit.person.active"), person.active);
  small_print(frame.ui, tr("edit.person.note"));
  if (known) behind_the_name(frame, *known);
  if (frame.bar.action == "keep") {
    if (!known) person.id = new_id('p', frame.now_ms());
    form.keep(ledger::PersonSettings{person});
  }
  finish(frame);
  if (known && asked(frame, "forget", tr("edit.person.forget_ask"), tr("edit.person.forget_sure"),
                     tr("edit.person.forget_do"), tr("phone.no"))) {
    frame.want(ForgetNames{id});
  }
}

}  // namespace nthtree::screens
