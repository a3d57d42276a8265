// SPDX-License-Identifier: Apache-2.0
// Which phones have joined the farm's hub: whose each is, what it may do, when it was heard last.
#include <algorithm>

#include "screens/each_screen.h"
#include "screens/manager/phone_words.h"
#include "screens/parts/frame.h"
#include "screens/parts/parts.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

// Those that can still send first; of both, whoever was heard last.
std::vector<const JoinedPhone*> in_order(const Phones& phones) {
  std::vector<const JoinedPhone*> list;
  for (const JoinedPhone& phone : phones.list) list.push_back(&phone);
  std::stable_sort(list.begin(), list.end(), [](const JoinedPhone* a, const JoinedPhone* b) {
    const bool gone = a->withdrawn_ms > 0, other_gone = b->withdrawn_ms > 0;
    return gone != other_gone ? other_gone : a->last_ms > b->last_ms;
  });
  return list;
}

void row(Frame& frame, const JoinedPhone& phone) {
  const std::string id = std::to_string(phone.id);
  const bool own = phone.id == frame.session.phones.own;
  const std::string role = phone.withdrawn_ms > 0 ? "" : role_text(phone.role) + ". ";
  const std::string detail = role + phone_holder(frame.season, phone) + ". " +
                             phone_heard(phone, frame.now_ms());
  if (choice_row(frame.ui, {.id = "phone/" + id, .label = phone_name(phone), .detail = detail,
                            .current = own, .glyph = Glyph::phone})) {
    frame.want(Go{Stop{ScreenId::edit_phone, {}, {}, {}, id}});
  }
}

}  // namespace

void draw_phones(Frame& frame) {
  const Phones& phones = frame.session.phones;
  const bool asking = phones.state == Phones::State::asking;
  open(frame, {.key = "phones", .title = tr("phones.title"),
               .actions = {{.id = "code", .label = tr("phones.code"),
                            .enabled = phones.state == Phones::State::told},
                           {.id = "list", .label = tr("phones.again"), .kind = Kind::quiet,
                            .enabled = !asking}}});
  small_print(frame.ui, tr("phones.text"));
  phones_trouble(frame);
  if (phones.backup_old) {
    const std::string last = phones.backup_ms > 0 ? when_text(phones.backup_ms, frame.now_ms())
                                                  : tr("phones.backup_never");
    notice(frame.ui, {.id = "backup_old", .tone = Tone::trouble,
                      .text = tr("phones.backup_old", {{"when", last}})});
  }
  if (asking && phones.list.empty()) paragraph(frame.ui, tr("phones.asking"));
  for (const JoinedPhone* phone : in_order(phones)) row(frame, *phone);
  if (frame.bar.action == "code") frame.go(ScreenId::edit_phone);
  if (frame.bar.action == "list") frame.want(ListPhones{});
  finish(frame);
}

}  // namespace nthtree::screens
