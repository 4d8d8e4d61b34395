"use strict";
// With a signal everything comes from the server; without one, the last check from the shelf.
const SHELF = "safety-check";
const LAST = "/last";
const NOTHING = "<!doctype html><html lang=en><meta charset=utf-8>"
  + "<meta name=viewport content='width=device-width'><title>No answer</title>"
  + "<h1>No answer from the server</h1><p>No check is kept on this device yet.</p>";

self.addEventListener("install", (event) => {
  self.skipWaiting();
  event.waitUntil(caches.open(SHELF).then((shelf) => shelf.addAll(["/icon.svg", "/manifest.webmanifest"])));
});
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));

const kept = async (request) => {
  const shelf = await caches.open(SHELF);
  if (request.mode !== "navigate") return (await shelf.match(request)) ?? Response.error();
  const page = await shelf.match(LAST);
  if (!page) return new Response(NOTHING, { headers: { "Content-Type": "text/html" } });
  return new URL(request.url).pathname === LAST ? page : Response.redirect(LAST, 303);
};
self.addEventListener("fetch", (event) => {
  event.respondWith(fetch(event.request).catch(() => kept(event.request)));
});
