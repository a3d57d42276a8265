// SPDX-License-Identifier: Apache-2.0
// A code for another phone: whose it will be, and what it may do.
#include "screens/each_screen.h"
#include "screens/manager/phone_words.h"
#include "screens/parts/frame.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

void draw_code(Frame& frame, double minutes) {
  open(frame, {.key = "phone_code_made", .title = tr("phones.code"),
               .actions = {{.id = "done", .label = tr("done")}}});
  phones_trouble(frame);
  heading(frame.ui, frame.session.phones.code, 1);  // the type of large numbers has no letters
  paragraph(frame.ui, tr("phone.code_good", {{"n", whole(minutes)}}));
  paragraph(frame.ui, tr("phone.code_next"));
  if (frame.bar.action == "done") frame.want(Back{});
  finish(frame);
}

}  // namespace

void draw_phone_code(Frame& frame) {
  const Phones& phones = frame.session.phones;
  const std::int64_t left_ms = phones.code_until_ms - frame.now_ms();
  if (!phones.code.empty() && left_ms > 0) {
    return draw_code(frame, static_cast<double>((left_ms + 59999) / 60000));
  }
  open(frame, {.key = "phone_code", .title = tr("phones.code"),
               .actions = {{.id = "make", .label = tr("phone.code_make"),
                            .enabled = phones.state != Phones::State::asking}}});
  phones_trouble(frame);
  small_print(frame.ui, tr("phone.code_text"));
  Form form(frame);
  GiveCode wish;
  wish.name = form.text({.id = "code/name", .label = tr("phone.code_name"), .value = "",
                         .letters_max = 40, .optional = true});
  wish.role = role_field(form, "code/role", orchard::Role::pruner);
  wish.person = holder_field(frame, form, "code/person", "");
  if (frame.bar.action == "make") form.ok() ? frame.want(wish) : form.show_wrong();
  finish(frame);
}

}  // namespace nthtree::screens
