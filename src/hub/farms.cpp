// SPDX-License-Identifier: Apache-2.0
#include "hub/farms.h"

namespace nthtree::hub {
namespace {

Service* found(const std::map<std::string, Service*>& services, const std::string& name) {
  const auto at = services.find(name);
  return at == services.end() ? nullptr : at->second;
}

}  // namespace

void Farms::add(const std::string& farm, const std::string& host, Service& service) {
  if (!first_) first_ = &service;
  by_farm_[farm] = &service;
  by_host_[host] = &service;
}

Service* Farms::of(const HttpRequest& head) const {
  if (by_host_.empty()) return first_;
  if (head.door != Door::metrics) return found(by_host_, name_in(head.host));
  constexpr std::string_view question = "?farm=";
  const std::size_t at = head.target.find(question);
  if (at == head.target.npos) return nullptr;
  return found(by_farm_, head.target.substr(at + question.size()));
}

}  // namespace nthtree::hub
