// SPDX-License-Identifier: Apache-2.0
// One person: name, what they do, whether they still work here.
#include "screens/each_screen.h"
#include "screens/parts/form.h"
#include "screens/parts/new_id.h"
#include "screens/parts/parts.h"
#include "screens/parts/scene.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {

void draw_edit_person(Scene& scene) {
  const std::string id = scene.session.here().person;
  const orchard::Person* known = id.empty() ? nullptr : scene.season.person(id);
  open(scene, {.key = "edit_person/" + id,
               .title = known ? tr("edit.person.title") : tr("edit.person.new"),
               .actions = {{.id = "keep", .label = keep_label(scene, tr("edit.person.keep"))}}});
  Form form(scene);
  orchard::Person person = known ? *known : orchard::Person{};
  const std::string key = "person/" + id + "/";
  person.name = form.text({.id = key + "name", .label = tr("edit.name"), .value = person.name,
                           .letters_max = 40});
  const bool renamed = !known || person.name != known->name;
  if (renamed && bearers_of(scene.season, person.name) > 0) {
    notice(scene.ui, {.id = "same_name", .tone = Tone::caution,
                      .text = tr("edit.person.same", {{"name", person.name}})});
  }
  person.role = static_cast<orchard::Role>(
      form.list(key + "role", tr("edit.person.role"),
                {tr("role.pruner"), tr("role.lead"), tr("role.manager")},
                static_cast<int>(person.role)));
  if (known) person.active = form.flag(key + "active", tr("edit.person.active"), person.active);
  small_print(scene.ui, tr("edit.person.note"));
  if (scene.bar.action == "keep") {
    if (!known) person.id = new_id('p', scene.now_ms());
    form.keep(ledger::PersonSettings{person});
  }
  finish(scene);
}

}  // namespace nthtree::screens
