// Passkeys: what the program asks is handed to the browser, what the device answers goes back. Nothing is kept here.
const said = document.getElementById("passkey-said");

function tell(words) {
  said.textContent = words;
  said.hidden = false;
}

async function ask(address) {
  const answer = await fetch(address, { headers: { Accept: "application/json" } });
  const told = await answer.json();
  if (!answer.ok) throw new Error(told.errors?.[0] ?? "That did not work.");
  return told;
}

async function send(address, credential) {
  const answer = await fetch(address, {
    method: "POST", headers: { "Content-Type": "application/json", Accept: "application/json" }, body: JSON.stringify(credential),
  });
  const told = await answer.json();
  if (!answer.ok) throw new Error(told.errors?.[0] ?? "That did not work.");
  return told;
}

function acts(id, act) {
  const button = document.getElementById(id);
  if (!button) return;
  if (!window.PublicKeyCredential?.parseCreationOptionsFromJSON) {
    button.hidden = true;
    return;
  }
  button.addEventListener("click", async () => {
    button.disabled = true;
    try {
      await act(button);
    } catch (error) {
      tell(error.name === "NotAllowedError" ? "The device was not asked, or it took too long. Try again." : error.message);
    }
    button.disabled = false;
  });
  button.disabled = false;
}

acts("use-passkey", async (button) => {
  const publicKey = PublicKeyCredential.parseRequestOptionsFromJSON(await ask("/sign-in/passkey"));
  const credential = await navigator.credentials.get({ publicKey });
  await send("/sign-in/passkey", credential.toJSON());
  location.assign(button.dataset.to || "/");
});

acts("add-passkey", async () => {
  const publicKey = PublicKeyCredential.parseCreationOptionsFromJSON(await ask("/me/passkey"));
  const credential = await navigator.credentials.create({ publicKey });
  const name = document.getElementById("passkey-name").value;
  const { codes } = await send(`/me/passkey?${new URLSearchParams({ name })}`, credential.toJSON());
  if (!codes.length) return location.reload();
  const box = document.getElementById("fresh-codes");
  box.querySelector("ul").replaceChildren(...codes.map((one) => {
    const item = document.createElement("li");
    item.append(Object.assign(document.createElement("code"), { textContent: one }));
    return item;
  }));
  box.hidden = false;
  box.scrollIntoView();
});
