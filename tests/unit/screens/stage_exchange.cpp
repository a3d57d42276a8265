// SPDX-License-Identifier: Apache-2.0
// What goes from phone to phone, in every state worth looking at.
#include <algorithm>
#include <cstdlib>

#include "unit/screens/stage.h"

namespace nthtree::screens::stage {
namespace {

Scene exchange_scene(const std::string& name, ScreenId screen, const std::string& person) {
  return {name, &farm(), at(screen, person, "b1")};
}

// Squares of a code of the size that the app makes, version 15.
void put_code(Showing& showing, int code, int codes) {
  constexpr int side = 77;
  showing.state = Showing::State::ready;
  showing.code = code;
  showing.codes = codes;
  showing.modules_a_side = side;
  for (int i = 0; i < side * side; ++i) {
    const int x = i % side, y = i / side;
    const auto eye = [&](int ex, int ey) {
      const int d = std::max(std::abs(x - ex), std::abs(y - ey));
      return d <= 4 ? (d == 3 || d <= 1 ? 1 : 0) : -1;
    };
    const int eyes = std::max({eye(3, 3), eye(side - 4, 3), eye(3, side - 4)});
    showing.modules.push_back(eyes >= 0 ? eyes == 1 : (x * y * 7 + x * 3 + y * 5) % 7 < 3);
  }
}

void add_exchange_out(std::vector<Scene>& all) {
  Scene hand = exchange_scene("hand_over", ScreenId::hand_over, "p3");
  Exchange& exchange = hand.session.exchange;
  exchange.can_share = true;
  exchange.batch_sizes = {{{17, 6100}, {64, 23000}, {2154, 812000}}};
  exchange.showing.batch = Batch::unsent;
  put_code(exchange.showing, 1, 4);
  all.push_back(hand);
  Scene much = hand;
  much.name = "hand_over_season";
  much.session.person = "m1";
  much.session.exchange.showing.batch = Batch::everything;
  much.session.exchange.showing.codes = 1940;
  much.session.exchange.batch_sizes[2] = {48000, 18000000};
  all.push_back(much);
  Scene too_many = much;
  too_many.name = "hand_over_too_many";
  too_many.session.exchange.showing.state = Showing::State::failed;
  too_many.session.exchange.showing.trouble = "too_many";
  all.push_back(too_many);
  Scene nothing = exchange_scene("hand_over_nothing", ScreenId::hand_over, "l1");
  nothing.session.sync.link = Link::never_paired;
  all.push_back(nothing);
  Scene demo = hand;
  demo.name = "hand_over_demo";
  demo.session.demo = true;
  all.push_back(demo);
  Scene codes = exchange_scene("codes", ScreenId::show_codes, "p3");
  put_code(codes.session.exchange.showing, 7, 21);
  all.push_back(codes);
  Scene paused = codes;
  paused.name = "codes_paused";
  paused.session.exchange.showing.paused = true;
  paused.session.exchange.showing.codes = 1940;
  paused.session.exchange.showing.code = 1208;
  all.push_back(paused);
  Scene failed = codes;
  failed.name = "codes_failed";
  failed.session.exchange.showing.state = Showing::State::failed;
  all.push_back(failed);
}

void add_exchange_in(std::vector<Scene>& all) {
  Scene receive = exchange_scene("receive", ScreenId::receive, "l1");
  receive.session.can_scan = true;
  all.push_back(receive);
  Scene scan = receive;
  scan.name = "receive_scanning";
  scan.session.exchange.camera = {true, 1310, 1940, 12,
                                  {4, 9, 31, 108, 1207, 1208, 1209, 1210, 1900}, ""};
  all.push_back(scan);
  for (const char* trouble : {"refused", "none", "busy", "failed", "other_code", "damaged"}) {
    Scene broken = receive;
    broken.name = std::string("receive_") + trouble;
    broken.session.can_scan = trouble != std::string("none");
    broken.session.exchange.camera = {false, 14, 21, 0, {4, 9}, trouble};
    all.push_back(broken);
  }
  Scene taken = receive;
  taken.name = "receive_taken";
  taken.session.exchange.taken = {Taken::State::done, 34, 812, 0, 0, "", ""};
  all.push_back(taken);
  Scene part = receive;
  part.name = "receive_part";
  part.session.exchange.taken = {Taken::State::done, 1204, 3, 2, 5, "", ""};
  all.push_back(part);
  Scene wrong = receive;
  wrong.name = "receive_no_records";
  wrong.session.exchange.taken = {Taken::State::done, 0, 0, 0, 7, "", ""};
  all.push_back(wrong);
  Scene disk = receive;
  disk.name = "receive_disk";
  disk.session.exchange.taken = {Taken::State::taking, 1000, 0, 0, 0, "disk", ""};
  all.push_back(disk);
  Scene large = receive;
  large.name = "receive_too_large";
  large.session.exchange.taken.state = Taken::State::refused;
  all.push_back(large);
  Scene other = receive;
  other.name = "receive_other_farm";
  other.session.asking = "other_farm";
  other.session.exchange.taken.other_farm = "Quince Hollow Orchards";
  all.push_back(other);
  Scene fresh = taken;
  fresh.name = "receive_new_phone";
  fresh.session.person.clear();
  all.push_back(fresh);
  Scene joining{"join_scanning", &no_farm(), at(ScreenId::join_farm, "", "")};
  joining.session.can_scan = joining.session.exchange.camera.on = true;
  joining.session.exchange.camera.trouble = "other_code";
  all.push_back(joining);
}

}  // namespace

void add_exchange(std::vector<Scene>& all) {
  add_exchange_out(all);
  add_exchange_in(all);
}

}  // namespace nthtree::screens::stage
