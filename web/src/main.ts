import { mount } from 'svelte'
import App from './App.svelte'
import './look/fonts.css'
import './look/tokens.css'
import './look/look.css'

mount(App, { target: document.getElementById('app') as HTMLElement })
