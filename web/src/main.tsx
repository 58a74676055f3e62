import "@fontsource-variable/atkinson-hyperlegible-next";
import "@fontsource-variable/atkinson-hyperlegible-mono";
import "./style/base.css";
import "./style/sheet.css";
import "./style/shop.css";
import "./style/print.css";
import { StrictMode } from "react";
import { createRoot } from "react-dom/client";
import { apply } from "./base/theme";
import { SheetApp } from "./sheet/SheetApp";
import { ShopApp } from "./shop/ShopApp";

apply();
const root = document.getElementById("root");
const shop = location.pathname === "/shop" || location.pathname.startsWith("/shop/");
if (root) createRoot(root).render(<StrictMode>{shop ? <ShopApp /> : <SheetApp />}</StrictMode>);
