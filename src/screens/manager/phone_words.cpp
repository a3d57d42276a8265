// SPDX-License-Identifier: Apache-2.0
#include "screens/manager/phone_words.h"

#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

std::vector<const orchard::Person*> those_here(const ledger::Season& season) {
  std::vector<const orchard::Person*> people;
  for (const auto& [id, person] : season.people()) {
    if (person.active) people.push_back(&person);
  }
  return people;
}

}  // namespace

std::string phone_name(const JoinedPhone& phone) {
  const std::string number = std::to_string(phone.id);
  return phone.name.empty() ? tr("phone.numbered", {{"n", number}}) : phone.name;
}

std::string phone_holder(const ledger::Season& season, const JoinedPhone& phone) {
  return phone.person.empty() ? tr("phones.shared") : person_text(season, phone.person);
}

std::string phone_heard(const JoinedPhone& phone, std::int64_t now_ms) {
  if (phone.withdrawn_ms > 0) {
    return tr("phones.withdrawn", {{"when", when_text(phone.withdrawn_ms, now_ms)}});
  }
  if (phone.last_ms == 0) return tr("phones.never");
  return tr("phones.last", {{"when", when_text(phone.last_ms, now_ms)}});
}

void phones_trouble(Frame& frame) {
  const Phones& phones = frame.session.phones;
  if (phones.state == Phones::State::unasked) return paragraph(frame.ui, tr("phones.alone"));
  if (phones.state != Phones::State::refused) return;
  const std::string& why = phones.trouble;
  const char* key = why == "alone"          ? "phones.alone"
                    : why == "not_manager"  ? "phones.not_manager"
                    : why == "no_answer"    ? "phones.no_answer"
                    : why == "last_manager" ? "phones.last_manager"
                                            : "phones.refused";
  notice(frame.ui, {.id = "phones_trouble", .tone = Tone::caution, .text = tr(key), .live = true});
}

std::string holder_field(Frame& frame, Form& form, const std::string& id,
                         const std::string& person) {
  const auto people = those_here(frame.season);
  std::vector<std::string> names = {tr("phones.shared")};
  int now = 0;
  for (const orchard::Person* one : people) {
    if (one->id == person) now = static_cast<int>(names.size());
    names.push_back(person_text(frame.season, one->id));
  }
  const int chosen = form.list(id, tr("phone.whose"), names, now);
  return chosen > 0 ? people[static_cast<std::size_t>(chosen - 1)]->id : "";
}

orchard::Role role_field(Form& form, const std::string& id, orchard::Role role) {
  return static_cast<orchard::Role>(
      form.list(id, tr("phone.role"), {tr("role.pruner"), tr("role.lead"), tr("role.manager")},
                static_cast<int>(role)));
}

}  // namespace nthtree::screens
