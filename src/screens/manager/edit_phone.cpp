// SPDX-License-Identifier: Apache-2.0
// One phone that has joined: its name, whose it is, what it may do; withdrawn where it is lost, and
// what it brought taken out of the numbers and put back.
#include "base/text.h"
#include "screens/each_screen.h"
#include "screens/manager/phone_words.h"
#include "screens/parts/frame.h"
#include "screens/parts/parts.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

const JoinedPhone* phone_here(const Frame& frame) {
  for (const JoinedPhone& phone : frame.session.phones.list) {
    if (std::to_string(phone.id) == frame.session.here().record) return &phone;
  }
  return nullptr;
}

void facts(Frame& frame, const JoinedPhone& phone) {
  const std::int64_t joined = frame.season.day_of(phone.joined_ms);
  fact(frame.ui, tr("phone.since"), date_year_text(joined));
  fact(frame.ui, tr("phone.heard"), phone_heard(phone, frame.now_ms()));
  fact(frame.ui, tr("phone.records"), whole(static_cast<double>(phone.records)));
  if (phone.hearsay > 0) {
    fact(frame.ui, tr("phone.hearsay"), whole(static_cast<double>(phone.hearsay)));
  }
  if (phone.aside > 0) fact(frame.ui, tr("phone.aside"), whole(static_cast<double>(phone.aside)));
}

// Midnight at the farm of the day typed; empty where it is none.
std::optional<std::int64_t> start_of(const Frame& frame, const std::string& day) {
  std::int64_t at_ms = 0;
  if (day.empty() || !base::parse_iso(day + "T00:00", at_ms)) return std::nullopt;
  return frame.season.time_zone().moment_of(at_ms);
}

void sweep(Frame& frame, Form& form, const JoinedPhone& phone) {
  heading(frame.ui, tr("phone.sweep"));
  small_print(frame.ui, tr("phone.sweep_text"));
  const std::string since = form.date({.id = "phone/since", .label = tr("phone.sweep_since"),
                                       .value = "", .optional = true});
  if (button(frame.ui, {.id = "sweep", .label = tr("phone.sweep_do"), .kind = Kind::danger,
                        .enabled = start_of(frame, since).has_value()})) {
    frame.want(Ask{"sweep"});
  }
  if (phone.aside > 0 && button(frame.ui, {.id = "count_again", .label = tr("phone.count_again"),
                                           .kind = Kind::quiet, .glyph = Glyph::undo})) {
    frame.want(ChangePhone{.id = phone.id, .count_again = true});
  }
}

void withdraw(Frame& frame, const JoinedPhone& phone) {
  if (phone.id == frame.session.phones.own) return small_print(frame.ui, tr("phone.own"));
  if (phone.withdrawn_ms > 0) return small_print(frame.ui, tr("phone.is_withdrawn"));
  if (button(frame.ui, {.id = "withdraw", .label = tr("phone.withdraw"), .kind = Kind::danger})) {
    frame.want(Ask{"withdraw"});
  }
}

void questions(Frame& frame, const JoinedPhone& phone) {
  const std::string name = phone_name(phone);
  if (asked(frame, "withdraw", tr("phone.withdraw_ask", {{"name", name}}),
            tr("phone.withdraw_text"), tr("phone.withdraw"), tr("phone.no"))) {
    frame.want(ChangePhone{.id = phone.id, .withdraw = true});
  }
  if (asked(frame, "sweep", tr("phone.sweep_ask", {{"name", name}}), tr("phone.sweep_sure"),
            tr("phone.sweep_do"), tr("phone.no"))) {
    frame.want(ChangePhone{.id = phone.id,
                           .set_aside_since_ms = start_of(frame, frame.typed("phone/since"))});
  }
}

}  // namespace

void draw_edit_phone(Frame& frame) {
  if (frame.session.here().record.empty()) return draw_phone_code(frame);
  const JoinedPhone* phone = phone_here(frame);
  if (!phone) {
    open(frame, {.key = "edit_phone", .title = tr("phone.title")});
    phones_trouble(frame);
    return finish(frame);
  }
  open(frame, {.key = "edit_phone/" + frame.session.here().record, .title = phone_name(*phone),
               .actions = {{.id = "keep", .label = keep_label(frame, tr("phone.keep"))}}});
  phones_trouble(frame);
  Form form(frame);
  ChangePhone change{.id = phone->id};
  const std::string key = "phone/" + frame.session.here().record + "/";
  change.name = form.text({.id = key + "name", .label = tr("edit.name"), .value = phone->name,
                           .letters_max = 40});
  change.role = role_field(form, key + "role", phone->role);
  facts(frame, *phone);
  withdraw(frame, *phone);
  sweep(frame, form, *phone);
  change.person = holder_field(frame, form, key + "person", phone->person);  // a long list
  if (frame.bar.action == "keep") form.ok() ? frame.want(change) : form.show_wrong();
  finish(frame);
  questions(frame, *phone);
}

}  // namespace nthtree::screens
